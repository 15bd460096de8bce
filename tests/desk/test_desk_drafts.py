"""Drafts of cases from closed calls teach what the calls teach and tell nobody who they were."""

import json
from dataclasses import replace
from decimal import Decimal

import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sample_calls import MARA, RAIN, calls, diagnosed, plain_call

from in_process import command
from saltriage.case import Case, load_case
from saltriage.desk.anonymous import anonymous_case, rounded
from saltriage.desk.call import CallOutcome, Doing, NamedId, Note, Person
from saltriage.desk.drafting import LEAST_ALIKE, draft_text, drafts_of, write_drafts
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.schemas import validator

KNOWLEDGE = load_knowledge()
RAINED = CallOutcome((NamedId("salt-diluted-by-rain", "Rain has thinned the salt"),), "test", "2026-12-01", "lee")
CLOSED = plain_call(case={**RAIN, "units": "us"}, outcome=RAINED)
# No rule, unit or id holds a word like these.
_tokens = st.text("qxzjvæøß", min_size=6, max_size=12)
_ids = st.text("qxzjv", min_size=6, max_size=12)  # of cases
_numbers = st.from_regex(r"\A0[0-9]{3} [0-9]{7}\Z")
_people = st.builds(Person, _tokens, _numbers, _tokens)
_asked = sorted(id for id, rule in KNOWLEDGE.symptoms.items() if rule.ask is not None and not rule.derived)[:40]
_pools = st.builds(
    lambda value, surface: {"volume": f"{value:.2f} m3", "surface": surface},
    st.floats(1, 4000), st.sampled_from(("vinyl", "tile")),
)  # fmt: skip
_acids = st.builds(
    lambda value: {"acid": {"product": "hydrochloric-acid", "strength": f"{value:.2f} %"}}, st.floats(5, 38)
)
_facts = st.fixed_dictionaries(
    {"symptoms": st.dictionaries(st.sampled_from(_asked), st.sampled_from(("yes", "no", "unknown")), min_size=1)},
    optional={
        "readings": st.fixed_dictionaries(
            {}, optional={
                "salt": st.builds(
                    lambda value, method: {"value": value, "unit": "mg/L", "method": method},
                    st.floats(0, 12000, allow_subnormal=False), st.sampled_from(("drop-test", "test-strip")),
                ),
                "ph": st.builds(lambda value: {"value": value}, st.floats(6, 9)),
                "free-chlorine": st.builds(lambda value: f"{value:.2f} mg/L", st.floats(0, 20)),
            },
        ),
        "pool": _pools,
        "equipment": st.builds(lambda value: {"cell-age": f"{value:.2f} years"}, st.floats(0.1, 15)),
        "products": _acids,
        "told": st.sampled_from(("asked", "volunteered")),
    },
)  # fmt: skip


@st.composite
def told_calls(draw, facts):
    """A closed call with these facts, and with words, people and days of its own. Returns: it, and what identifies."""
    words = [draw(_ids), *(draw(_tokens) for _ in range(7))]
    who, moment = draw(_people), draw(st.dates()).strftime("2026-%m-%d")
    case = {**facts, "case": f"of-{words[0]}", "title": words[1], "said": f"{words[2]} {words[3]}", "story": words[4]}
    call = plain_call(
        draw(st.integers(1, 10**9)),
        who,
        case=case,
        by=words[5],
        taken=f"{moment}T10:11:12Z",
        notes=(Note(f"{moment}T11:00:00Z", words[5], words[6]),),
        doings=(Doing("add-salt", words[7], f"{moment}T12:00:00Z", words[5]),),
        outcome=replace(RAINED, closed=moment, who=words[5], remark=words[6]),
    )
    return call, [*words, who.name, who.phone, who.phone.replace(" ", ""), who.address, moment, call.uid]


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(data=st.data(), facts=_facts)
def test_a_draft_tells_nothing_that_somebody_wrote_and_no_date(data, facts):
    """The law, twice: no such text stands in it; and who differs in nothing else has the same draft."""
    (one, names), (other, more) = (data.draw(told_calls(facts)) for _ in range(2))

    text, same = ("\n".join(map(draft_text, drafts_of([call], KNOWLEDGE).drafts)) for call in (one, other))

    assert "DRAFT" in text
    for told in (*names, *more):
        assert told not in text, told
    assert text == same


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(drawn=st.lists(calls, max_size=4))
def test_only_closed_confirmed_calls_give_drafts(drawn):
    """Of any calls; ids that no rule has are told, not guessed."""
    confirmed = [call for call in drawn if call.outcome and call.outcome.confirmed]

    found = drafts_of(drawn, KNOWLEDGE)

    assert sum(each.calls for each in found.drafts) + sum(found.left_out.values()) == len(confirmed)


@settings(max_examples=100)
@given(facts=_facts)
def test_numbers_are_only_as_good_as_they_were_measured(facts):
    """The rounded number lies within the error of its test and on a coarse step; other facts stay as they are."""
    case = Case.from_data(facts, KNOWLEDGE)

    again = Case.from_data(anonymous_case(case, KNOWLEDGE), KNOWLEDGE)

    assert (again.symptoms, again.unknown, again.contexts) == (case.symptoms, case.unknown, case.contexts)
    assert again.readings.keys() == case.readings.keys()
    for id, reading in case.readings.items():
        rule = KNOWLEDGE.readings[id]
        method = rule.methods.get(reading.method)
        error = method.precision(reading.value) if method else rule.widest_error(reading.value)
        assert abs(again.readings[id].value - reading.value) <= max(error, 0.1 * reading.value) / 2 * (1 + 1e-9)
        digits = Decimal(f"{again.readings[id].value:.8g}").normalize().as_tuple().digits
        assert len(digits) <= 3, "still a fingerprint"


@settings(max_examples=50)
@given(value=st.floats(1, 900), bound=st.sampled_from(("below", "above")))
def test_a_limit_is_rounded_outwards(value, bound):
    """What was under 137 is under 140, never under 130."""
    entry = {"value": value, "unit": "mg/L", "bound": bound}
    case = Case.from_data({"readings": {"cyanuric-acid": entry}}, KNOWLEDGE)

    again = Case.from_data(anonymous_case(case, KNOWLEDGE), KNOWLEDGE).readings["cyanuric-acid"]

    assert again.bound == bound
    assert again.interval.low <= case.readings["cyanuric-acid"].interval.low + 1e-6
    assert again.interval.high >= case.readings["cyanuric-acid"].interval.high - 1e-6


@given(value=st.floats(0, 1e6), error=st.floats(1e-3, 1e5))
def test_rounding_moves_by_half_the_error_at_most(value, error):
    near = rounded(value, error)

    assert abs(near - value) <= error / 2 * (1 + 1e-6) + 1e-9
    assert rounded(near, error) == near


def test_known_roundings():
    """A drop test of salt with 200 mg/L, a volume with 15 %, as the rules say; worked by hand."""
    assert rounded(2143.0, 200.0) == 2200.0
    assert rounded(41_870.0, 0.15 * 41_870) == 40_000.0
    assert rounded(7.43, 0.15) == 7.4


def test_a_draft_is_a_case_once_it_has_an_id_and_a_title(tmp_path):
    """It keeps to the schema then and not before, loads, and expects what was confirmed."""
    found = drafts_of([CLOSED], KNOWLEDGE)
    write_drafts(found.drafts, tmp_path / "drafts")
    (file,) = (tmp_path / "drafts").iterdir()
    text = file.read_text(encoding="utf-8")
    assert "outcome, anonymised" in text
    data = yaml.safe_load(text)
    assert [*validator("case").iter_errors(data)], "an unfinished draft passes"

    settled = data | {"case": "low-salt-once-more", "title": "Low-salt warning once more"}

    assert [*validator("case").iter_errors(settled)] == []
    path = tmp_path / "low-salt-once-more.yaml"
    path.write_text(yaml.safe_dump(settled, sort_keys=False), encoding="utf-8")
    case = load_case(path, KNOWLEDGE)
    assert case.expect == {"first": "salt-diluted-by-rain"}
    assert case.symptoms == Case.from_data(RAIN, KNOWLEDGE).symptoms
    assert case.readings["salt"].typed == "2200 mg/L" or case.readings["salt"].typed == "2000 mg/L"
    assert case.for_units is None


def test_rare_facts_are_warned_of(tmp_path):
    """Four calls alike are rare, five are not; what is rare by itself is named."""
    few = [replace(CLOSED, uid=f"{place}") for place in range(LEAST_ALIKE - 1)]
    (rare,) = drafts_of(few, KNOWLEDGE).drafts
    assert (rare.calls, rare.alike, rare.is_rare) == (LEAST_ALIKE - 1, LEAST_ALIKE - 1, True)
    assert "# RARE" in draft_text(rare)
    assert "Rare by themselves: cause salt-diluted-by-rain, heavy-rain" in draft_text(rare)

    (common,) = drafts_of([*few, CLOSED], KNOWLEDGE).drafts
    assert not common.is_rare
    assert "RARE" not in draft_text(common)

    odd = replace(CLOSED, case={**RAIN, "symptoms": {**RAIN["symptoms"], "plates-scaled": "yes"}})
    drafts = drafts_of([*few, CLOSED, odd], KNOWLEDGE).drafts
    assert [each.rare for each in drafts if each.is_rare] == [("plates-scaled",)]


def test_causes_that_are_gone_or_too_many_are_left_out():
    gone = replace(CLOSED, outcome=replace(RAINED, confirmed=(NamedId("no-such-cause", "Gone"),)))
    two = ("salt-too-low", "salt-diluted-by-rain")
    both = replace(CLOSED, outcome=replace(RAINED, confirmed=tuple(NamedId(each, each) for each in two)))
    many = replace(CLOSED, outcome=replace(RAINED, confirmed=tuple(NamedId(id, id) for id in [*KNOWLEDGE.causes][:4])))

    found = drafts_of([gone, both, many], KNOWLEDGE)

    assert sum(found.left_out.values()) == 2
    assert [each.data["expect"] for each in found.drafts] == [{"both": sorted(two)}]


def test_as_typed(desk, address, knowledge, tmp_path):
    """On both databases; never over what is there; nobody is named."""
    call = desk.take(diagnosed(RAIN, knowledge, MARA))
    where = ("--at", address)
    nothing = command("desk", "drafts", "out", *where, at=tmp_path)
    assert (nothing.returncode, (tmp_path / "out").exists()) == (0, False)
    desk.close(call.number, RAINED)

    done = command("desk", "drafts", "out", *where, at=tmp_path)

    assert (done.returncode, done.stdout) == (0, "1 drafts of 1 calls in out\n"), done.stderr
    assert "1 drafts are rare" in done.stderr
    text = (tmp_path / "out" / "draft-1.yaml").read_text(encoding="utf-8")
    for told in ("Mara", "Tolben", "555", "Lindenwyk", "Invented", "2026", call.uid, json.dumps(2100)):
        assert told not in text
    again = command("desk", "drafts", "out", *where, at=tmp_path)
    assert (again.returncode, again.stdout) == (2, "")
    assert "something is there already" in again.stderr
