"""What callers of a cause tell against what its rule says they find: links that are missing, too weak or unexplained.

Run from the root: ``python tests/bench/told_links.py [least callers, 3]``. Nothing is asserted, and nothing is learned
by itself: a maintainer reads the lists and decides. Calls are those that clerks labelled whole: accounts of one known
fault (sets h, i and l of the sayings) and single-fault sheets of V1 to V4 and V14. V5, V12 and V13 are kept aside.

A caller tells less than is there, so a share told is a lower bound of a frequency; of a symptom told by callers of
causes that do not show it, a lower bound of its background.
"""

import json
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from saltriage.knowledge import Knowledge, load_knowledge

ROOT = Path(__file__).parents[2]
SETS, SHEETS = ("h", "i", "l"), ("V1", "V2", "V3", "V4", "V14")
MISSING = 0.1  # frequency below which a link counts as missing
WEAK, UNEXPLAINED = 1.5, 1.7  # told so many times more often than the rules say
LEAST_SHARE, LEAST_LIFT = 0.25, 4.0  # of a cause's callers; more often than callers at large


@dataclass(frozen=True, slots=True)
class LabelledCall:
    """A call with one cause. Args: present: symptoms that it tells."""

    cause: str
    present: frozenset[str]


def read(path: Path) -> Iterator[dict[str, Any]]:
    return (json.loads(line) for line in path.read_text(encoding="utf-8").splitlines())


def labelled(rules: Path, sheets: Path) -> Iterator[LabelledCall]:
    accounts = (line for path in sorted((rules / "corpus/accounts").glob("w*.jsonl")) for line in read(path))
    causes = {line["said"]: line["causes"] for line in accounts}
    for name in SETS:
        for call in read(rules / f"corpus/sayings/{name}.jsonl"):
            if len(of := causes.get(call["said"], ())) == 1:
                told = (each["finding"] for each in call["says"] if each["polarity"] == "present" and "finding" in each)
                yield LabelledCall(of[0], frozenset(told))
    for name in SHEETS:
        keys = {key["id"]: key for key in read(sheets / f"key/{name}.jsonl")}
        for form in read(sheets / f"form/{name}.jsonl"):
            key = keys[form["id"]]
            if len(key["truth"]) == 1 and key["answer"] == "cause":
                yield LabelledCall(
                    key["truth"][0],
                    frozenset(each["symptom"] for each in form["facts"] if each.get("answer") == "yes"),
                )


def shown_by(cause: str, knowledge: Knowledge) -> dict[str, float]:
    """How often a cause shows each symptom, itself or by its states; the stronger of several ways."""
    rule, frequency = knowledge.causes[cause], knowledge.scales.frequency
    shown = {symptom: frequency[word] for symptom, word in rule.shows.items()}
    for state, word in rule.brings.items():
        for symptom, then in knowledge.states[state].signs.items():
            shown[symptom] = max(shown.get(symptom, 0.0), frequency[word] * frequency[then])
    return shown


def main(least: int) -> None:
    knowledge = load_knowledge(ROOT / "rules")
    calls = list(labelled(ROOT / "rules", ROOT / "tests/strangers"))
    callers = Counter(call.cause for call in calls)
    told = Counter((call.cause, symptom) for call in calls for symptom in call.present)
    at_large = Counter(symptom for call in calls for symptom in call.present)
    shown = {cause: shown_by(cause, knowledge) for cause in callers}
    print(f"{len(calls)} calls, {len(callers)} causes")
    for title, wanted in (("missing", True), ("too weak", False)):
        print(f"\n{title}: cause, symptom, told, as it stands")
        for (cause, symptom), count in sorted(told.items(), key=lambda each: (-each[1] / callers[each[0][0]], each[0])):
            share, stands = count / callers[cause], shown[cause].get(symptom, 0.0)
            enough = share >= max(LEAST_SHARE, LEAST_LIFT * at_large[symptom] / len(calls), WEAK * stands)
            if count >= least and enough and (stands < MISSING) == wanted and symptom in knowledge.symptoms:
                print(f"  {cause:34} {symptom:34} {count}/{callers[cause]}  {stands:.2f}")
    print("\ntold without a cause that shows it: symptom, share, background")
    for symptom in sorted(at_large.keys() & knowledge.symptoms.keys()):
        others = [call for call in calls if shown[call.cause].get(symptom, 0.0) < MISSING / 2]
        share = sum(symptom in call.present for call in others) / max(1, len(others))
        background = knowledge.scales.background.get(knowledge.symptoms[symptom].background, 1.0)
        if share * len(others) >= least and share > UNEXPLAINED * background:
            print(f"  {symptom:34} {share:.3f}  {background:.3f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3)
