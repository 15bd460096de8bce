"""Out of a desk and into another: nothing is lost, nothing doubled, and what cannot be read changes nothing."""

import csv
import json
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sample_calls import MARA, RAIN, TINGLE, calls, diagnosed, plain_call

from saltriage.batch.lines import diagnosed_lines
from saltriage.case import Case
from saltriage.desk.backup import back_up, restore
from saltriage.desk.call import CallOutcome, NamedId, Person
from saltriage.desk.call_forms import CallForm
from saltriage.desk.checking import check_desk
from saltriage.desk.desk import Desk
from saltriage.desk.exporting import export_calls
from saltriage.desk.forms import checked, json_text
from saltriage.desk.importing import import_calls
from saltriage.desk.opening import open_desk
from saltriage.desk.rows import calls_of, every_number
from saltriage.errors import UsageRefused
from saltriage.knowledge import load_knowledge

OPEN = replace(
    CallOutcome((NamedId("salt-diluted-by-rain", "Rain has thinned the salt"),), "test", "2026-12-01", "lee")
)


def everything(desk: Desk):
    """All calls, in the order of their numbers."""
    with desk.connected.reading() as opened:
        return calls_of(opened, every_number(opened))


def filled(desk: Desk, knowledge) -> Desk:
    """Three calls: one closed, one with a danger, one of a person."""
    closed = desk.take(diagnosed(RAIN, knowledge, MARA))
    desk.note(closed.number, "Invented; called back", "lee")
    desk.close(closed.number, OPEN)
    desk.take(diagnosed(TINGLE, knowledge, Person("Jon Ferrel", "+49 171 5550199", "=1+1")))
    desk.take(diagnosed({**RAIN, "title": "'- a title like a formula"}, knowledge))
    return desk


@settings(max_examples=8, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(kept=st.lists(calls, max_size=4, unique_by=lambda call: call.uid))
def test_export_and_import_give_the_same_desk(kind, homes, tmp_path_factory, kept):
    """Whole calls, whatever they hold; a second import takes nothing in; a backup gives the same again."""
    folder, knowledge = tmp_path_factory.mktemp("moved"), load_knowledge()
    source = folder / "source.json"
    source.write_text("".join(json_text(kept)), encoding="utf-8")
    desk = open_desk(homes.fresh(kind))

    done = import_calls(desk.connected, source, knowledge, "kim")
    assert (done.new, done.here, done.different) == (len(kept), 0, [])
    assert everything(desk) == kept
    again = import_calls(desk.connected, source, knowledge, "kim")
    assert (again.new, again.here, again.different) == (0, len(kept), [])
    export_calls(desk.connected, folder / "out.json", CallForm.json)
    out, given_data = (json.loads((folder / name).read_text(encoding="utf-8")) for name in ("out.json", "source.json"))
    assert out == given_data

    back_up(desk.connected, folder / "backup.gz")
    other = open_desk(homes.fresh("sqlite"))
    assert restore(other.connected, folder / "backup.gz", "kim") == len(kept)
    assert everything(other) == kept
    for each in (desk, other):
        assert check_desk(each.connected) == (len(kept), [])


def test_a_call_that_is_here_with_other_content_stays(desk, homes, knowledge, tmp_path):
    """It is named, and nothing of it is changed."""
    desk.take(plain_call(1))
    export_calls(desk.connected, tmp_path / "a.json", CallForm.json)
    changed = desk.note(1, "new", "kim")

    done = import_calls(desk.connected, tmp_path / "a.json", knowledge, "kim")

    assert done.different == [f"call 1 ({changed.uid})"]
    assert everything(desk) == [changed]


def test_cases_are_read_by_batch(desk, knowledge, tmp_path):
    """One case a line; a batch diagnoses each, with the same first cause; and they can be taken in."""
    filled(desk, knowledge)
    assert export_calls(desk.connected, tmp_path / "cases.ndjson", CallForm.cases) == 3

    lines = (tmp_path / "cases.ndjson").read_bytes().splitlines()
    results = [json.loads(line) for line in diagnosed_lines(list(enumerate(lines, 1)))]
    assert [each["causes"][0]["cause"] for each in results if each["causes"]] == [
        each.last.causes[0].cause for each in everything(desk) if each.last.causes
    ]
    other = filled(desk, knowledge)
    done = import_calls(other.connected, tmp_path / "cases.ndjson", knowledge, "kim")
    assert done.new == 3
    assert import_calls(other.connected, tmp_path / "cases.ndjson", knowledge, "kim").here == 3


def test_outcomes_teach_without_words_and_people(desk, homes, kind, knowledge, tmp_path):
    """Closed calls alone, in the shape of the schema; taken in by another desk they say the same."""
    filled(desk, knowledge)
    file = tmp_path / "outcomes.ndjson"
    assert export_calls(desk.connected, file, CallForm.outcomes) == 1

    text = file.read_text(encoding="utf-8")
    (line,) = map(json.loads, text.splitlines())
    assert checked(line, "outcome", "line 1") == line
    assert line["confirmed"] == ["salt-diluted-by-rain"]
    assert (line["by"], line["closed"]) == ("test", "2026-12-01")
    assert line["asked"] == sorted(RAIN["symptoms"])
    assert line["case"]["symptoms"] == RAIN["symptoms"]
    assert not {"said", "story", "title"} & line["case"].keys()
    for word in ("Tolben", "5550134", "Lindenwyk", "Invented", "called back"):
        assert word not in text
    Case.from_data(line["case"], knowledge)

    other = open_desk(homes.fresh(kind))
    assert import_calls(other.connected, file, knowledge, "kim").new == 1
    export_calls(other.connected, tmp_path / "again.ndjson", CallForm.outcomes)
    assert (tmp_path / "again.ndjson").read_text(encoding="utf-8") == text
    assert import_calls(desk.connected, file, knowledge, "kim").here == 1


def test_csv_comes_back(desk, homes, kind, knowledge, tmp_path):
    """Who, when, the case, and what came of it; and no cell is a formula (OWASP: leading = + - @ tab CR)."""
    filled(desk, knowledge)
    file = tmp_path / "calls.csv"
    assert export_calls(desk.connected, file, CallForm.csv) == 3

    with file.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert all(not cell.startswith(("=", "+", "-", "@", "\t", "\r")) for row in rows for cell in row.values())
    assert [row["confirmed"] for row in rows] == ["salt-diluted-by-rain", "", ""]

    other = open_desk(homes.fresh(kind))
    assert import_calls(other.connected, file, knowledge, "kim").new == 3
    for before, after in zip(everything(desk), everything(other), strict=True):
        for name in ("uid", "taken", "by", "case", "person", "outcome", "asked", "questions", "minutes"):
            assert getattr(after, name) == getattr(before, name), name
    assert import_calls(other.connected, file, knowledge, "kim").here == 3


WHOLE = '{"saltriage-desk": 1, "calls": [%s]}'
GOOD = json.loads(next(line for line in "".join(json_text([plain_call(7)])).splitlines() if "uid" in line))
UNREADABLE = {
    "nothing.ndjson": ("[", "nothing.ndjson:1: no JSON"),
    "list.ndjson": ("[]", "list.ndjson:1"),
    "case.ndjson": ('{"case": "a"}\n{"case": "b", "symptoms": {"low-salt-wanning": "yes"}}', "low-salt-warning"),
    "outcome.ndjson": ('{"case": {}, "confirmed": [], "by": "hearsay", "closed": "2026-12-01", "asked": []}', "by"),
    "more.ndjson": (
        '{"case": {}, "confirmed": [], "by": "test", "closed": "2026-12-01", "asked": [], "who": "x"}',
        "'who' was unexpected",
    ),
    "closed.json": (WHOLE % json.dumps({**GOOD, "colour": "red"}), "'colour' was unexpected"),
    "missing.json": (WHOLE % json.dumps({key: GOOD[key] for key in list(GOOD)[:-1]}), "'sheet' is a required"),
    "version.json": ('{"saltriage-desk": 2, "calls": []}', "1 was expected"),
    "twice.json": (WHOLE % f"{json.dumps(GOOD)}, {json.dumps(GOOD)}", "stands twice"),
    "nan.json": (WHOLE % json.dumps({**GOOD, "minutes": float("nan")}), "NaN is no number"),
    "sign.json": (WHOLE % json.dumps({**GOOD, "by": "a\x00b"}), "signs that cannot be shown"),
    "half.json": (WHOLE % json.dumps({**GOOD, "by": "a\ud800b"}), "signs that cannot be shown"),
    "badcase.json": (WHOLE % json.dumps({**GOOD, "case": {"readings": {"ph": 99}}}), "readings.ph"),
    "interview.json": (WHOLE % json.dumps({**GOOD, "interview": {"version": 7}}), "interview"),
    "head.csv": ("a,b\n1,2\n", "head.csv:1: another head"),
    "utf.csv": (b"\xff\xfe", "no UTF-8"),
    "time.json": (WHOLE % json.dumps({**GOOD, "taken": "2026-13-40T25:61:00Z"}), "is no time"),
    "day.ndjson": (
        '{"case": {}, "confirmed": [], "by": "test", "closed": "2026-13-40", "asked": []}',
        "2026-13-40",
    ),
    "deep.ndjson": ("[" * 100_000, "deep.ndjson:1: no JSON"),
}


@pytest.mark.parametrize("name", UNREADABLE)
def test_what_cannot_be_read_changes_nothing(desk, knowledge, tmp_path, name):
    """The refusal names file and place, and not even the good lines before it are taken in."""
    text, said = UNREADABLE[name]
    file = tmp_path / name
    file.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass"))
    before = everything(desk)

    with pytest.raises(UsageRefused, match=name) as refused:
        import_calls(desk.connected, file, knowledge, "kim")

    assert said in str(refused.value)
    assert everything(desk) == before
    assert check_desk(desk.connected) == (0, [])


def test_a_file_is_never_written_over(desk, tmp_path):
    """Neither by an export nor by a backup."""
    file = tmp_path / "there"
    file.write_text("mine")
    for write in (lambda: export_calls(desk.connected, file, CallForm.json), lambda: back_up(desk.connected, file)):
        with pytest.raises(UsageRefused, match="exists"):
            write()
    assert file.read_text() == "mine"
    assert list(tmp_path.iterdir()) == [file]


def test_files_of_calls_are_for_their_owner_alone(desk, tmp_path):
    """Names and addresses are in them."""
    export_calls(desk.connected, tmp_path / "calls.json", CallForm.json)
    back_up(desk.connected, tmp_path / "backup")
    assert {each.stat().st_mode & 0o777 for each in tmp_path.iterdir()} == {0o600}


def test_a_backup_while_others_write_is_of_one_moment(kind, homes, tmp_path):
    """Every backup holds whole calls, and no fewer than the one before."""
    import threading

    address = homes.fresh(kind)
    writes, stop = open_desk(address), threading.Event()

    def write() -> None:
        number = 0
        while not stop.is_set():
            number += 1
            call = writes.take(plain_call(number))
            writes.note(call.number, f"note {number}", "kim")

    thread = threading.Thread(target=write)
    thread.start()
    counts = []
    try:
        for place in range(5):
            back_up(open_desk(address).connected, tmp_path / f"backup{place}")
            other = open_desk(homes.fresh("sqlite"))
            counts.append(restore(other.connected, tmp_path / f"backup{place}", "kim"))
            assert check_desk(other.connected) == (counts[-1], [])
            assert all(len(each.notes) == 1 for each in everything(other)[:-1])
    finally:
        stop.set()
        thread.join()
    assert counts == sorted(counts)
    assert counts[-1] > 0


def test_a_cut_or_changed_backup_changes_nothing(desk, knowledge, tmp_path):
    """Every cut is noticed, and so is a changed sign."""
    import gzip

    filled(desk, knowledge)
    file = tmp_path / "backup"
    back_up(desk.connected, file)
    before, whole = everything(desk), file.read_bytes()
    plain = gzip.decompress(whole)
    bad = [whole[:cut] for cut in range(0, len(whole) - 1, max(1, len(whole) // 25))]
    bad += [gzip.compress(plain.replace(b"Tolben", b"Tolbem")), gzip.compress(plain.rsplit(b"\n", 2)[0]), b"no backup"]
    bad += [gzip.compress(b'{"saltriage-desk-backup": "0000"}\n')]
    for content in bad:
        file.write_bytes(content)
        with pytest.raises(UsageRefused, match=str(file)):
            restore(desk.connected, file, "kim", replaces=True)
    assert everything(desk) == before


def test_a_desk_with_calls_is_replaced_only_when_asked(desk, knowledge, tmp_path):
    """And then holds what the backup held, goes on counting behind it, and finds the same."""
    filled(desk, knowledge)
    back_up(desk.connected, tmp_path / "backup")
    before = everything(desk)
    desk.take(diagnosed(RAIN, knowledge))

    with pytest.raises(UsageRefused, match=r"has 4 calls.*--replace"):
        restore(desk.connected, tmp_path / "backup", "kim")
    assert restore(desk.connected, tmp_path / "backup", "kim", replaces=True) == 3
    assert everything(desk) == before
    assert [each.number for each in desk.find("tolben")] == [1]
    assert desk.take(plain_call(9)).number >= 4
    assert check_desk(desk.connected) == (4, [])
