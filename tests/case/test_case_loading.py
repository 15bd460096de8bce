"""Files, standard input and texts, YAML and JSON: a case, or a refusal that points at the line."""

import io
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from saltriage.case import Case, load_case, load_case_text
from saltriage.errors import CaseRefused
from saltriage.knowledge.model import Knowledge

YAML = """\
# yaml-language-server: $schema=../../schemas/case.schema.json
case: weak-jets
told: volunteered
symptoms: {return-jets-weak: yes, bubbles: no}
readings:
  salt: {value: 2400, unit: mg/L, method: drop-test}
  ph: 7.6
pool: {volume: 45 m3}
"""
AS_JSON = {
    "case": "weak-jets",
    "told": "volunteered",
    "symptoms": {"return-jets-weak": True, "bubbles": "no"},
    "readings": {"salt": {"value": 2400, "unit": "mg/L", "method": "drop-test"}, "ph": 7.6},
    "pool": {"volume": "45 m3"},
}


def refused(source: Path | str | bytes, rules: Knowledge) -> CaseRefused:
    with pytest.raises(CaseRefused) as caught:
        load_case(source, rules)
    str(caught.value).encode("utf-8")
    return caught.value


def test_yaml_and_json_tell_the_same_case(rules: Knowledge, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same case from a YAML file, a JSON file, the standard input, a text, and bytes with a byte order mark."""
    (tmp_path / "weak-jets.yaml").write_text(YAML, encoding="utf-8")
    (tmp_path / "weak-jets.json").write_text(json.dumps(AS_JSON), encoding="utf-8")
    stdin = io.TextIOWrapper(io.BytesIO(YAML.encode()))
    monkeypatch.setattr("sys.stdin", stdin)

    expected = Case.from_data(AS_JSON, rules)
    assert expected.symptoms == {"return-jets-weak": True, "bubbles": False}
    assert load_case(tmp_path / "weak-jets.yaml", rules) == expected
    assert load_case(str(tmp_path / "weak-jets.json"), rules) == expected
    assert load_case("-", rules) == expected
    assert load_case(YAML, rules) == expected
    assert load_case(b"\xef\xbb\xbf" + YAML.encode(), rules) == expected
    assert load_case(json.dumps(AS_JSON), rules) == expected


def test_a_case_without_an_id_has_the_name_of_its_file(rules: Knowledge, tmp_path: Path) -> None:
    """What a caller's record is called is what the report calls it."""
    file = tmp_path / "call-17.yaml"
    file.write_text("symptoms: {bubbles: yes}\n", encoding="utf-8")

    assert load_case(file, rules).id == "call-17"


def test_reasons_come_in_the_order_of_the_file_with_line_and_column(rules: Knowledge, tmp_path: Path) -> None:
    """An editor can jump to each; a wrong key is pointed at itself, a wrong value at the value."""
    file = tmp_path / "bad.yaml"
    file.write_text(
        "pool: {volume: 0 m3}\nreadings:\n  ph: 70\n  slat: 5 mg/L\nsymptoms:\n  bubbles: maybe\n", encoding="utf-8"
    )

    places = [each.place.removeprefix(f"{file}:") for each in refused(file, rules).refusals]
    assert places == ["1:16", "3:7", "4:3", "6:12"]


def test_reasons_in_json_have_places_too(rules: Knowledge) -> None:
    """The same for a record that a program wrote."""
    reasons = refused('{\n  "readings": {"ph": 70}\n}', rules).refusals

    assert [each.place for each in reasons] == ["<text>:2:22"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "The file is empty"),
        ("a: 1\na: 2\n", "a second time"),
        ('{"a": 1, "a": 2}', "stands twice"),
        ('{"readings": {"ph": NaN}}', "NaN is not a number"),
        ("readings: {ph: .nan}\n", ".nan is not a plain decimal number"),
        ("a: &bomb [x]\nb: [*bomb, *bomb]\n", "Anchor &bomb"),
        ("a: !!python/object:os.system x\n", "Tag"),
        ("[" * 100_000 + "\n", "nest"),
        ('{"a":' * 20_000, "nest"),
        ("a: [\n", "The YAML breaks off"),
        ('{"a": 1,\n', "The JSON breaks off"),
        ("a: 1\n---\nb: 2\n", "A second document"),
        (b"case: \xff\xfe\n", "not UTF-8"),
        ("x: 'y\x00z'\n", "may not stand in YAML"),
        ("readings:\n" + "  - [a, b]\n" * 500_000, "The file has"),
        (YAML.encode("utf-16"), "not UTF-8"),
    ],
)
def test_a_text_that_cannot_be_read(rules: Knowledge, text: str | bytes, words: str) -> None:
    """One refusal that says what broke the reading and where."""
    reason = refused(text if isinstance(text, bytes) else text.encode(), rules)

    assert len(reason.refusals) == 1
    assert words.casefold() in str(reason).casefold()
    assert reason.refusals[0].place.startswith("<text>:")


def test_a_file_that_cannot_be_opened(rules: Knowledge, tmp_path: Path) -> None:
    """Missing, a folder, a name that no file can have, a name with signs that cannot be seen: no traceback."""
    assert "no such file" in str(refused(tmp_path / "none.yaml", rules))
    assert "a folder" in str(refused(tmp_path, rules))
    assert "cannot be a path" in str(refused("a\x00b", rules))
    assert "\x1b" not in str(refused("\x1b[31m.yaml", rules))
    assert "File name too long" in str(refused("x" * 5000, rules))


@given(st.binary(max_size=200))
def test_any_bytes_are_a_case_or_are_refused(rules: Knowledge, text: bytes) -> None:
    """Noise from a pipe gives a refusal that can be printed."""
    try:
        load_case(text, rules)
    except CaseRefused as reason:
        str(reason).encode("utf-8")


@given(st.text(alphabet=st.sampled_from(sorted(set(YAML + "&*!|>%@`\t\"'"))), max_size=120), st.integers(0, len(YAML)))
def test_a_damaged_file_is_a_case_or_is_refused(rules: Knowledge, noise: str, place: int) -> None:
    """The same with a piece of noise inside an ordinary case."""
    try:
        load_case_text(YAML[:place] + noise + YAML[place:], rules)
    except CaseRefused as reason:
        str(reason).encode("utf-8")
