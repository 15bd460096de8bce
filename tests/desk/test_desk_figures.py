"""Figures agree with a plain count over whole calls, on both databases; the interval with a published table."""

import csv
import io
from collections import Counter
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sample_calls import MARA, calls, plain_call

from figure_calls import year_of_calls
from in_process import command
from saltriage.desk.call import CallDiagnosis, CallOutcome, CauseLine, NamedId, Person
from saltriage.desk.figure_tables import figure_tables, figures_csv, table_lines
from saltriage.desk.figures import wilson
from saltriage.desk.forms import json_text
from saltriage.desk.importing import import_calls
from saltriage.desk.opening import open_desk

UNTIL = "2026-09-30"  # a Wednesday


def moment(at: str) -> datetime:
    return datetime.strptime(at, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=UTC)


def day(at: str) -> date:
    return moment(at).astimezone().date()


@settings(max_examples=5, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(kept=st.lists(calls, max_size=8, unique_by=lambda call: call.uid), weeks=st.integers(1, 60))
def test_figures_are_a_plain_count(kind, homes, knowledge, tmp_path_factory, kept, weeks):
    """Every sum, over calls of any content, against one that looks at whole calls one by one."""
    desk = open_desk(homes.fresh(kind))
    file = tmp_path_factory.mktemp("figures") / "calls.json"
    file.write_text("".join(json_text(kept)), encoding="utf-8")
    import_calls(desk.connected, file, knowledge, "kim")
    first = date.fromisoformat(UNTIL) - timedelta(days=2 + 7 * (weeks - 1))
    own = [call for call in kept if first <= day(call.taken) <= date.fromisoformat(UNTIL)]
    closed = [call for call in own if call.outcome]
    confirmed = [call for call in closed if call.outcome.confirmed]

    found = desk.figures(weeks, UNTIL)

    assert (found.first, found.last, len(found.weeks)) == (str(first), UNTIL, weeks)
    assert (found.calls, found.closed, found.confirmed) == (len(own), len(closed), len(confirmed))
    assert sum(each.calls for each in found.weeks) == sum(row.calls for row in found.causes) == len(own)
    for place, week in enumerate(found.weeks):
        assert week.calls == sum(row.weeks[place] for row in found.causes)
        begins = date.fromisoformat(week.begins)
        assert week.calls == sum(1 for call in own if day(call.taken).isocalendar()[:2] == begins.isocalendar()[:2])
    causes = Counter(
        (call.outcome.confirmed[0].id if call in confirmed else call.last.causes[0].cause if call.last.causes else "")
        for call in own
    )
    assert {row.cause: row.calls for row in found.causes} == causes
    assert sum(row.confirmed for row in found.causes) == len(confirmed)
    said = [
        (line.probability, line.cause in {each.id for each in call.outcome.confirmed})
        for call in confirmed for line in call.last.causes
    ]  # fmt: skip
    assert sum(each.causes for each in found.bins) == len(said)
    assert sum(each.right for each in found.bins) == sum(right for _, right in said)
    assert sum(each.causes * each.said for each in found.bins if each.causes) == pytest.approx(sum(p for p, _ in said))
    assert all(each.low <= each.said <= each.high for each in found.bins)
    right = [
        call
        for call in confirmed
        if call.last.causes and call.last.causes[0].cause in {each.id for each in call.outcome.confirmed}
    ]
    assert found.first_right == len(right)
    assert len(found.wrong) == sum(1 for call in confirmed if call.last.causes) - len(right)
    assert dict(found.unheard) == Counter(words for call in own for words in {each.casefold() for each in call.unheard})
    assert sum(row.failed for row in found.advice) == sum(
        len({each.id for each in call.outcome.failed}) for call in closed
    )
    assert found.at_once <= found.closed
    assert found.again <= found.known <= found.calls
    assert list(table_lines(figure_tables(found)))


@pytest.mark.parametrize(
    ("right", "count", "least", "most"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_the_interval_is_that_of_the_table(right, count, least, most):
    """R. G. Newcombe, Statistics in Medicine 17 (1998), p. 857, table I, method 3; values from memory."""
    assert wilson(right, count) == pytest.approx((least, most), abs=5e-5)


@given(right=st.integers(0, 200), more=st.integers(0, 200))
def test_the_interval_holds_the_share(right, more):
    count = right + more
    least, most = wilson(right, count)
    assert 0.0 <= least <= (right / count if count else 0.5) <= most <= 1.0


def found(cause: str, chance: float = 0.7) -> tuple[CallDiagnosis, ...]:
    return (CallDiagnosis("2026-09-01T10:00:00Z", "f00d", "1.0.0", "cause", (CauseLine(cause, cause, chance),)),)


def closed(cause: str = "a") -> CallOutcome:
    return CallOutcome((NamedId(cause, cause.upper()),), "test", "2026-09-02", "lee")


def test_a_caller_who_rings_again_within_14_days_was_not_helped_at_once(desk):
    """Fourteen days to the second count, one second more does not; another caller's number changes nothing."""
    begin = plain_call(1, MARA, taken="2026-09-01T10:00:00Z", outcome=closed())
    desk.take(begin)
    assert (desk.figures(13, UNTIL).at_once, desk.figures(13, UNTIL).again) == (1, 0)
    desk.take(plain_call(2, Person("Jon"), taken="2026-09-02T10:00:00Z"))
    desk.take(plain_call(3, MARA, taken="2026-09-15T10:00:01Z"))
    assert (desk.figures(13, UNTIL).at_once, desk.figures(13, UNTIL).again) == (1, 0)
    desk.take(plain_call(4, replace(MARA, phone="+49 171 5550134"), taken="2026-09-15T10:00:00Z"))
    told = desk.figures(13, UNTIL)
    assert (told.at_once, told.again, told.known) == (0, 2, 4)


def test_a_call_before_the_weeks_counts_as_the_first_of_two(desk):
    """The second of two calls is a repeat, though the figures begin between them."""
    desk.take(plain_call(1, MARA, taken="2026-09-25T10:00:00Z"))
    desk.take(plain_call(2, MARA, taken="2026-09-29T10:00:00Z"))
    assert (desk.figures(1, UNTIL).calls, desk.figures(1, UNTIL).again) == (1, 1)


def test_what_failed_is_no_solution(desk):
    failed = replace(closed(), failed=(NamedId("add-salt", "Add salt"),))
    desk.take(plain_call(1, taken="2026-09-01T10:00:00Z", outcome=failed))
    told = desk.figures(13, UNTIL)
    assert told.at_once == 0
    assert [(each.action, each.advised, each.failed) for each in told.advice] == [("add-salt", 0, 1)]


def test_what_was_said_is_held_against_what_was_right(desk):
    """Nine of ten calls said with 93 % are right, then two of ten: only the second is pointed at."""
    for number in range(1, 11):
        outcome = closed("a" if number <= 9 else "b")
        desk.take(plain_call(number, taken="2026-09-01T10:00:00Z", findings=found("a", 0.93), outcome=outcome))
    told = desk.figures(13, UNTIL)
    last = told.bins[-1]
    assert (last.causes, last.right, last.said, last.is_off) == (10, 9, pytest.approx(0.93), False)
    assert [(each.said, each.was) for each in told.wrong] == [("a", ("B",))]
    for number in range(11, 21):
        outcome = closed("a" if number <= 12 else "b")
        desk.take(plain_call(number, taken="2026-09-01T10:00:00Z", findings=found("a", 0.93), outcome=outcome))
    assert desk.figures(13, UNTIL).bins[-1].is_off


def test_the_command_prints_the_same_tables(address, desk, tmp_path):
    """80 columns; as CSV and JSON whole."""
    for call in year_of_calls(120, seed=1):
        desk.save(call, "kim", 0)
    done = command("desk", "figures", "--weeks", "13", "--at", address, at=tmp_path)
    assert done.returncode == 0
    lines = done.stdout.splitlines()
    assert max(map(len, lines)) <= 79
    told = figure_tables(desk.figures(13))
    for table in told:
        assert table.title.upper() in lines
    as_csv = command("desk", "figures", "--csv", "--at", address, at=tmp_path).stdout
    assert as_csv.replace("\r\n", "\n") == figures_csv(told).replace("\r\n", "\n")
    rows = list(csv.reader(io.StringIO(as_csv)))
    assert rows[0] == ["table", "row", "column", "value"]
    assert {row[0] for row in rows[1:]} == {table.id for table in told if table.rows}
    calls_by_cause = sum(int(row[3]) for row in rows if row[0] == "causes" and row[2] == "Calls")
    assert calls_by_cause == desk.figures(13).calls


@pytest.mark.parametrize("weeks", ["0", "521", "many"])
def test_weeks_that_cannot_be_are_refused(address, tmp_path, weeks):
    assert command("desk", "figures", "--weeks", weeks, "--at", address, at=tmp_path).returncode == 2


def test_a_spreadsheet_takes_no_cell_for_a_formula(desk):
    """Words of callers and titles come from outside."""
    desk.take(plain_call(1, taken="2026-09-01T10:00:00Z", unheard=("=1+1",)))
    assert "unheard,'=1+1,Calls,1" in figures_csv(figure_tables(desk.figures(13, UNTIL)))


def test_the_page_and_the_api_tell_the_same(client, desk):
    for call in year_of_calls(60, seed=2):
        desk.save(call, "kim", 0)
    told = client.get("/api/v1/desk/figures", params={"weeks": "26"}).json()
    assert [each["id"] for each in told["tables"]] == [each.id for each in figure_tables(desk.figures(26))]
    page = client.get("/support/figures", params={"weeks": "26"})
    assert page.status_code == 200
    assert "style=" not in page.text
    for row in figure_tables(desk.figures(26))[2].rows:
        assert row[0].replace("'", "&#39;") in page.text
    assert client.get("/support/figures.csv").headers["content-type"].startswith("text/csv")
    assert client.get("/support/figures", params={"weeks": "3"}).status_code == 422


def test_words_of_callers_do_nothing_on_the_page(client, desk):
    evil = "<script>alert(1)</script>"
    desk.save(plain_call(1, taken="2026-09-01T10:00:00Z", unheard=(evil,)), "kim", 0)
    page = client.get("/support/figures", params={"weeks": "52"}).text
    assert evil not in page
    assert "<script" not in page
