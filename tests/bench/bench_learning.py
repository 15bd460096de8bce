"""Learning from invented outcomes at full size: 40 frequency words wrong by two steps, 5,000 calls, 30 % of them
unconfirmed, 5 % of the answers wrong; then the rules are edited, checked, and callers diagnosed anew.

Run from the root: ``python tests/bench/bench_learning.py [calls] [words] [callers]``. Two minutes of one core, so
`report.py` does not run it. Nothing is asserted. Goals: of the wrong words that 30 calls or more speak of at least 0.9
proposed in the right direction, of the right ones at most 0.02 moved, the first cause right more often afterwards.
How it went stands in DEVELOPERS.md. Words of causes less than very common are hardly heard of 30 times in 5,000 calls.
"""

import shutil
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "learning"))

from sampled_calls import closed_calls, first_right, sampled_outcomes, score, wrong_words

from saltriage.knowledge import load_knowledge
from saltriage.learning.outcomes import Outcomes
from saltriage.learning.proposals import Proposal, lesson
from saltriage.learning.writing import Evidenced, evidence_of, learned_files, tried
from saltriage.workshop.fixing import write_fixed

ROOT = Path(__file__).parents[2]


def main(calls: int = 5000, words: int = 40, callers: int = 1000) -> None:
    true = load_knowledge(ROOT / "rules")
    wrong = wrong_words(true, words, ["very-common"])
    with tempfile.TemporaryDirectory() as folder:
        rules = Path(folder) / "rules"
        for name in ("rules", "cases", "schemas"):
            shutil.copytree(ROOT / name, Path(folder) / name)
        spoilt = [Proposal(word, new, 0.0, 0, 0.0, 0.0, 0.0) for word, new in wrong.items()]
        write_fixed(learned_files(rules, spoilt, Evidenced("outcomes-invented", "Words made wrong for a bench.")))
        stated = load_knowledge(rules)
        outcomes = Outcomes(tuple(closed_calls(sampled_outcomes(true, calls), stated)))
        started = time.process_time()
        found = lesson(outcomes.calls, stated)
        spent = time.process_time() - started
        print(f"calls: {calls}, confirmed {outcomes.confirmed}; words: {len(found.words)}; wrong: {words}")
        print(f"rounds: {found.rounds}; {spent:.0f} s of one core")
        told = score(found, wrong, true.learning.least_informative)
        print(f"wrong and heard of: {told.wrong}; in the right direction: {told.found}; the very word: {told.exact}")
        print(f"right and heard of: {told.right}; moved: {told.moved}")
        files = learned_files(rules, found.proposals, evidence_of(outcomes, rules))
        with tried(rules, files) as changed:
            print("the edited rules pass the check")
            others = list(sampled_outcomes(true, callers, unconfirmed=0.0, seed=7))
            before, after, best = (first_right(others, each) for each in (stated, load_knowledge(changed), true))
        shares = [f"{sum(each) / callers:.3f}" for each in (before, after, best)]
        gained = sum(now and not then for then, now in zip(before, after, strict=True))
        lost = sum(then and not now for then, now in zip(before, after, strict=True))
        print(f"first cause right of {callers} other callers: {shares[0]} with the wrong words, {shares[1]} with the")
        print(f"learned ones ({gained} gained, {lost} lost), {shares[2]} with the true ones")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
