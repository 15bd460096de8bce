"""One line out for every line in: the same diagnosis as alone, or an error that says which line."""

import json

import pytest

from saltriage.batch import lines as worker
from saltriage.batch.lines import diagnosed_lines
from saltriage.case import load_case_text
from saltriage.diagnosis import diagnose
from saltriage.knowledge import load_knowledge
from saltriage.report.diagnosis.json_form import diagnosis_data


def results_of(*texts: bytes) -> list[dict]:
    return [json.loads(line) for line in diagnosed_lines(list(enumerate(texts, 1)))]


def rounded(value: object) -> object:
    """Numbers but for the last of their six digits, which ranking together may round otherwise."""
    if isinstance(value, float):
        return pytest.approx(value, rel=1e-9, abs=2e-6)
    if isinstance(value, dict):
        return {key: rounded(item) for key, item in value.items()}
    return [rounded(item) for item in value] if isinstance(value, list) else value


def test_line_says_what_a_diagnosis_alone_says(many):
    """Every line of a batch is the JSON of the same case diagnosed alone, without next checks."""
    knowledge = load_knowledge()
    texts = many.read_bytes().splitlines()[:64]
    compared = 0

    for number, (text, result) in enumerate(zip(texts, results_of(*texts), strict=True), 1):
        assert number == result.pop("line")
        if "error" in result:
            continue
        compared += 1
        alone = diagnose(load_case_text(text, knowledge, f"line-{number}.json"), knowledge, next_check=False)
        expected = json.loads(json.dumps(diagnosis_data(alone)))
        assert rounded(expected) == result
        assert list(expected["posteriors"]) == list(result["posteriors"])

    assert compared > 50


@pytest.mark.parametrize(
    "text",
    [b"", b"   ", b"{", b"[]", b"null", b"\xff\xfe", b"\xef\xbb\xbf", b'{"readings": {"ph": 99}}', b"[" * 3000,
     b'{"case": "' + b"x" * 600_000 + b'"}', b'{"symptoms": {"no-such-symptom": "yes"}}', b'{"title": "\\ud800"}'],
)  # fmt: skip
def test_refused_line_is_an_error_with_its_number(text):
    """A line that is no case becomes an error object with its number and reasons; its neighbours are diagnosed."""
    good = b'{"case": "good", "symptoms": {"low-salt-warning": "yes"}}'

    first, bad, last = results_of(good, text, good)

    assert [first["case"], last["case"]] == ["good", "good"]
    assert (bad["line"], bad["error"]["title"]) == (2, "case refused")
    assert all(": found " in reason for reason in bad["error"]["reasons"])
    assert bad["error"]["reasons"]


def test_fault_of_ours_spoils_its_own_line_only(monkeypatch):
    """A bug met by one case is an error in that case's line."""
    real = worker.believe

    def broken(case, knowledge):
        if case.id == "bad":
            raise ZeroDivisionError("a bug")
        return real(case, knowledge)

    monkeypatch.setattr(worker, "believe", broken)
    first, bad, last = results_of(*(b'{"case": "%s", "readings": {"ph": 7}}' % name for name in (b"a", b"bad", b"c")))

    assert (first["case"], last["case"]) == ("a", "c")
    assert bad["error"] == {"title": "fault inside saltriage", "reasons": ["ZeroDivisionError: a bug"]}


def test_case_that_cannot_be_ranked_does_not_spoil_the_others(monkeypatch):
    """Where ranking together fails, each case is ranked alone and only the guilty line is an error."""
    real = worker.explain

    def broken(found):
        if found.believed.case.id == "bad":
            raise worker.SaltriageError("too entangled")
        return real(found)

    monkeypatch.setattr(worker, "explain_together", lambda found: 1 / 0)
    monkeypatch.setattr(worker, "explain", broken)
    first, bad, last = results_of(*(b'{"case": "%s", "readings": {"ph": 7}}' % name for name in (b"a", b"bad", b"c")))

    assert (first["case"], last["case"]) == ("a", "c")
    assert bad["error"]["title"] == "not diagnosed"
    assert bad["error"]["reasons"] == ["too entangled"]


def test_lone_surrogate_cannot_break_the_output(monkeypatch):
    """Text that UTF-8 cannot hold is written with an escape instead of stopping the run."""
    monkeypatch.setattr(worker, "believe", lambda case, knowledge: 1 / 0 if case else None)
    monkeypatch.setattr(worker, "_error", lambda number, trouble: worker._compact({"line": number, "x": "\ud800"}))

    assert diagnosed_lines([(1, b'{"case": "a", "readings": {"ph": 7}}')]) == [b'{"line":1,"x":"\\ud800"}']
