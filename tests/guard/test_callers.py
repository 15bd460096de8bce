"""Callers with dangers, alone and two at once: what a careful technician orders first, and what nobody may do.

All invented. The expectations are a technician's judgement: common practice, no source.
"""

import json
from pathlib import Path
from typing import Any

import pytest

from in_process import Ended
from in_process import command as in_process
from saltriage.case import load_case
from saltriage.diagnosis import dangers_of_case, diagnose
from saltriage.errors import CaseRefused
from saltriage.guard import Dangers, guard_refused
from saltriage.knowledge import Knowledge, load_knowledge

ROOT = Path(__file__).parents[2]
CALLERS = Path(__file__).parent / "callers"

# Name -> the order that comes first ('' where nothing grave stands), and actions that must not be shown.
EXPECTED: dict[str, tuple[str, tuple[str, ...]]] = {
    "acid-cleaned-hard-plates-scaled": ("", ()),
    "animal-in-pool-many-bathers": ("", ()),
    "bond-wire-broken-low-salt-warning": ("out-of-water", ("add-salt", "inspect-plug")),
    "box-buzzes": ("", ()),
    "box-hot": ("", ()),
    "breaker-tripped": ("", ()),
    "cable-damaged-flow-warning": ("out-of-water", ("clean-filter", "check-supply")),
    "cartridge-collapsed": ("", ()),
    "cell-cracked-low-salt-warning": ("switch-off-at-breaker", ("inspect-plates", "add-salt")),
    "chemical-spilled": ("call-emergency", ("add-acid-for-ph",)),
    "chemicals-mixed-burning-smell": ("leave-upwind", ("switch-off-at-breaker", "close-pool")),
    "chlorine-drum-reacting-smoke-or-scorch": ("leave-upwind", ("switch-off-at-breaker", "close-pool")),
    "current-shown-pump-off": ("out-of-water", ("inspect-plates", "prime-pump")),
    "drain-cover-missing-cloudy-green-bottom-not-visible": ("out-of-water", ("brush-and-filter",)),
    "drain-cover-missing-gas-smell": ("leave-upwind", ("switch-off-at-breaker", "close-pool")),
    "dug-or-wired-lately-tingle": ("out-no-metal", ("check-supply",)),
    "eyes-sting-strong-chlorine-smell": ("", ()),
    "faecal-incident-free-chlorine-zero": ("", ("add-chlorine-by-hand",)),
    "filter-clamp-damaged-filter-pressure-high": ("switch-off-at-breaker", ("clean-filter", "bleed-air")),
    "frost-damage-seen-pump-dead": ("switch-off-at-breaker", ("check-supply", "prime-pump")),
    "fuel-gas-smell-breaker-trips-again": ("leave-touch-nothing", ("switch-off-at-breaker", "check-supply")),
    "fuel-gas-smell-burning-smell": ("leave-touch-nothing", ("switch-off-at-breaker",)),
    "fuel-gas-smell-person-hurt": ("leave-touch-nothing", ("switch-off-at-breaker",)),
    "gas-pocket-in-cell": ("", ()),
    "gas-pocket-in-cell-ran-without-flow": ("out-of-water", ("inspect-plates", "bleed-air")),
    "gas-smell-person-hurt": ("leave-upwind", ("test-full-set",)),
    "gas-smell-tingle": ("leave-upwind", ("switch-off-at-breaker", "close-pool")),
    "gauge-in-red": ("switch-off-at-breaker", ("check-gauge", "bleed-air")),
    "gauge-in-red-volunteered": ("switch-off-at-breaker", ("check-gauge", "bleed-air")),
    "gauge-in-red-with-more": ("switch-off-at-breaker", ("check-gauge", "bleed-air")),
    "ground-fault-device-missing": ("", ()),
    "ground-fault-tripped": ("", ()),
    "heater-leaks-fuel-gas-smell": ("leave-touch-nothing", ("repair-heater", "switch-off-at-breaker")),
    "lightning-storm-many-bathers": ("", ()),
    "liner-floating-salt-above-band": ("stop-draining", ("replace-water-for-salt",)),
    "otolidine-kit-used": ("", ()),
    "plug-browned-low-salt-warning": ("switch-off-at-breaker", ("inspect-plug", "read-cell-current")),
    "pool-light-damaged-cloudy-green": ("out-no-metal", ("brush-and-filter",)),
    "pool-light-damaged-free-chlorine-zero": ("out-no-metal", ("add-chlorine-by-hand",)),
    "private-without-chlorine": ("", ()),
    "public-combined-chlorine": ("", ()),
    "public-without-chlorine": ("", ()),
    "pump-hums": ("", ()),
    "pump-screams-pump-leaks-water": ("", ()),
    "refused-chlorine-above-total-and-gas": ("leave-upwind", ()),
    "refused-typo-and-tingle": ("out-no-metal", ()),
    "refused-worked-out-symptom-and-tingle": ("out-no-metal", ()),
    "tingle-person-hurt": ("out-no-metal", ("check-supply",)),
    "water-bleached": ("", ("add-chlorine-by-hand", "raise-output")),
    "water-in-box-low-salt-warning": ("out-of-water", ("read-cell-current", "add-salt")),
    "water-public": ("", ()),
    "water-with-three-dangers": ("out-no-metal", ("add-salt", "add-acid-for-ph", "add-chlorine-by-hand")),
}
BATHING_STOPS = (
    "animal-in-pool-many-bathers", "private-without-chlorine", "public-combined-chlorine", "public-without-chlorine",
    "water-bleached", "water-public", "faecal-incident-free-chlorine-zero",
)  # fmt: skip


@pytest.fixture(scope="module")
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


def dangers_in(path: Path, rules: Knowledge) -> Dangers:
    try:
        return dangers_of_case(load_case(path, rules), rules)
    except CaseRefused as refused:
        return guard_refused(refused)


def test_every_caller_has_an_expectation() -> None:
    assert {path.stem for path in CALLERS.glob("*.yaml")} == set(EXPECTED)


@pytest.mark.parametrize("name", sorted(EXPECTED))
def test_the_first_order_saves_and_nothing_forbidden_is_shown(name: str, rules: Knowledge) -> None:
    first, never = EXPECTED[name]
    path = CALLERS / f"{name}.yaml"
    dangers = dangers_in(path, rules)

    assert dangers.grave is bool(first), [each.rule.id for each in dangers.standing]
    if first:
        assert dangers.orders[0].id == first
    if not name.startswith("refused"):
        shown = {action.action for action in diagnose(load_case(path, rules), rules, next_check=False).actions}
        assert not shown & set(never)


@pytest.mark.parametrize("name", BATHING_STOPS)
def test_bathing_stops_while_mending_goes_on(name: str, rules: Knowledge) -> None:
    """A keep-out is a banner: advice goes on below it."""
    case = load_case(CALLERS / f"{name}.yaml", rules)
    found = diagnose(case, rules, next_check=False)

    assert {stop.level for stop in found.stops} == {"unfit"}
    assert found.actions


def run(*words: str) -> Ended:
    return in_process(*words, at=ROOT)


def first_lines(out: str) -> str:
    return "\n".join(out.splitlines()[:4])


@pytest.mark.parametrize("command", [["diagnose"], ["water"], ["plan", "opening"], ["plan", "care"], ["hand-over"]])
def test_every_command_tells_the_danger_first_and_forbidden_steps_never(
    command: list[str], tmp_path: Path, rules: Knowledge
) -> None:
    """Water, plans and hand-over on a case with a tingle: the danger, then nothing that is added or opened."""
    case = str(CALLERS / "water-with-three-dangers.yaml")
    if command == ["hand-over"]:
        assert run("diagnose", case, "--save", str(tmp_path / "record.json")).returncode == 0
        case = str(tmp_path / "record.json")
    done = run(*command, case)

    assert done.returncode == 0, done.stderr
    assert "DANGER TO LIFE" in first_lines(done.stdout)
    for word in ("hydrochloric", "Add salt", "kg, best estimate", "calcium chloride"):
        # What a plan holds back is named below, so that nobody thinks it was forgotten.
        assert word not in done.stdout.partition("NOT YET")[0]


@pytest.mark.parametrize("name", ["refused-typo-and-tingle", "refused-worked-out-symptom-and-tingle"])
@pytest.mark.parametrize("command", [["diagnose"], ["water"], ["plan", "care"]])
def test_a_refused_case_still_tells_its_danger(command: list[str], name: str) -> None:
    done = run(*command, str(CALLERS / f"{name}.yaml"))

    assert done.returncode == 2
    assert "DANGER TO LIFE" in first_lines(done.stderr)
    assert "expected" in done.stderr


def test_a_batch_tells_the_danger_of_a_refused_line(tmp_path: Path) -> None:
    lines: list[dict[str, Any]] = [{"symptoms": {"tingle": "yes"}, "readings": {"ph": 74}}, {"said": "the rail bites"}]
    (tmp_path / "in.ndjson").write_text("\n".join(map(json.dumps, lines)), encoding="utf-8")

    assert run("batch", str(tmp_path / "in.ndjson"), str(tmp_path / "out.ndjson")).returncode == 1
    first, second = map(json.loads, (tmp_path / "out.ndjson").read_text(encoding="utf-8").splitlines())
    assert first["error"]
    assert first["stops"][0]["stop"] == "stop-tingle"
    assert "error" not in second


def test_words_of_a_case_are_heard_and_can_be_denied(rules: Knowledge) -> None:
    """A danger surely heard stands with the words it rests on, and goes when it is denied."""
    from saltriage.case import Case

    said = {"said": "Salt light is on. Oh, and every time I grab the ladder I get a tingle up my arm."}
    heard = dangers_of_case(Case.from_data(said, rules), rules)
    denied = dangers_of_case(Case.from_data({**said, "symptoms": {"danger-electricity": "no"}}, rules), rules)

    assert [(each.rule.id, each.sure) for each in heard.standing] == [("stop-danger-electricity", "heard")]
    assert "tingle" in heard.standing[0].words
    assert denied.standing == ()
