"""How far first causes hang on single frequency words: 30 % of all words moved one step, on strangers' sheets.

Run from the root: ``python tests/bench/sensitivity.py [draws] [sheets...]``; 200 draws of the five voices take a
quarter of an hour of one core, so `report.py` does not run it. Nothing is asserted. A word moves up or down at random;
the ends of the scale move inwards only. Draws come from a fixed seed.
"""

import random
import sys
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from saltriage.believe import believe
from saltriage.errors import CaseRefused
from saltriage.exam.papers import files_of, read_papers
from saltriage.exam.sitting import _whole_case as case_of_form
from saltriage.explain import explain
from saltriage.find import Found, find
from saltriage.knowledge import Knowledge, load_knowledge

ROOT = Path(__file__).parents[2]
SHARE, SEED = 0.3, 20261129
Link = tuple[str, str, str]  # rule, "shows" or "brings", what it shows or brings


def links_of(knowledge: Knowledge) -> Iterator[tuple[Link, str]]:
    """Every frequency word of causes and states."""
    for rule in (*knowledge.causes.values(), *knowledge.states.values()):
        for key in ("shows", "brings"):
            for shown, word in getattr(rule, key, {}).items():
                yield (rule.id, key, shown), word


def moved(knowledge: Knowledge, steps: Mapping[Link, str], name: str) -> Knowledge:
    """The knowledge with other words in these links."""

    def rules(old: Mapping[str, Any]) -> dict[str, Any]:
        new = dict(old)
        for (rule, key, shown), word in steps.items():
            if rule in new:
                new[rule] = replace(new[rule], **{key: {**getattr(new[rule], key), shown: word}})
        return new

    return replace(
        knowledge,
        causes=rules(knowledge.causes),
        states=rules(knowledge.states),
        fingerprint=f"{knowledge.fingerprint}{name}",
    )


def first_of(found: Found, knowledge: Knowledge) -> tuple[str, float]:
    """The leading cause of one call and its chance."""
    situation = replace(found.believed.situation, knowledge=knowledge)
    explained = explain(replace(found, believed=replace(found.believed, situation=situation)))
    return explained.leading, explained.chances.get(explained.leading, 0.0)


def calls(paths: list[Path], knowledge: Knowledge) -> list[tuple[str, Found]]:
    """The calls whose form can be read, as found."""
    read = []
    for paper in read_papers(files_of(paths, None, None), knowledge).scored:
        try:
            read.append((paper.sheet.id, find(believe(case_of_form(paper.sheet, paper.form, knowledge), knowledge))))
        except CaseRefused:
            continue
    return read


def main(draws: int, paths: list[Path]) -> None:
    """Print how often the first cause changes, overall and where it was said at 0.5 and more, and fragile links."""
    knowledge = load_knowledge(ROOT / "rules")
    scale = sorted(knowledge.scales.frequency, key=lambda word: knowledge.scales.frequency[word])
    links, dice = dict(links_of(knowledge)), random.Random(SEED)
    read = calls(paths, knowledge)
    before = {sheet: first_of(found, knowledge) for sheet, found in read}
    sure = {sheet for sheet, (_, chance) in before.items() if chance >= 0.5}
    changed: Counter[str] = Counter()
    stirred: Counter[Link] = Counter()
    turned: Counter[Link] = Counter()
    for draw in range(draws):
        steps = {
            link: scale[min(max(scale.index(word) + dice.choice((-1, 1)), 0), len(scale) - 1)]
            for link, word in links.items()
            if dice.random() < SHARE
        }
        other = moved(knowledge, steps, f"-{draw}")
        for sheet, found in read:
            after = first_of(found, other)[0]
            changed[sheet] += after != before[sheet][0]
            for link in steps:
                if link[0] in (after, before[sheet][0]) and found.facts.symptoms.get(link[2]):
                    stirred[link] += 1
                    turned[link] += after != before[sheet][0]
    print(f"{draws} draws, {len(links)} words, {len(read)} calls")
    print(f"first cause changes: {sum(changed.values()) / draws / len(read):.3f} of all calls")
    print(
        f"where it was said at 0.5 and more: {sum(changed[s] for s in sure) / draws / max(1, len(sure)):.3f}",
        f"of {len(sure)}",
    )
    print(f"calls that change in more than half of the draws: {sum(changed[s] > draws / 2 for s, _ in read)}")
    print("links that were moved where the first cause changed most often (moved in at least a tenth of the draws):")
    often = [link for link in stirred if stirred[link] >= max(5, draws // 10)]
    for link in sorted(often, key=lambda link: turned[link] / stirred[link], reverse=True)[:20]:
        print(f"  {turned[link] / stirred[link]:.2f} of {stirred[link]:4d}  {' '.join(link)} ({links[link]})")


if __name__ == "__main__":
    chosen = [Path(path) for path in sys.argv[2:]] or sorted((ROOT / "tests/strangers").glob("V?.jsonl"))
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200, chosen)
