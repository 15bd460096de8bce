"""Proposals written into rules: what changes in which file, to the letter, and that nothing else does."""

import pytest

from saltriage.errors import KnowledgeRefused, UsageRefused
from saltriage.explain.cause_network import network_of
from saltriage.knowledge import load_knowledge
from saltriage.learning.learnable import words_of
from saltriage.learning.outcomes import ClosedCall, Outcomes
from saltriage.learning.proposals import Proposal
from saltriage.learning.writing import Evidenced, evidence_of, learned_files, tried
from saltriage.workshop.fixing import write_fixed
from saltriage.workshop.lock import release

EVIDENCE = Evidenced("outcomes-2026-11-30", "Outcomes, 812 calls, 2026-01-02 to 2026-11-30, 600 of them confirmed.")
CAUSE = "causes/temperature/water-too-cold.yaml"


def proposal(rules, rule, path, proposed):
    knowledge = load_knowledge(rules)
    words = words_of(knowledge, network_of(knowledge))
    word = next(word for word in words if (word.rule, word.path) == (rule, path))
    return Proposal(word, proposed, 0.25, 61, 0.7, 0.6, 0.8)


def both(rules):
    return [
        proposal(rules, "water-too-cold", ("shows", "low-salt-warning"), "usually"),
        proposal(rules, "water-too-cold", ("common",), "very-common"),
        proposal(rules, "low-salt-warning", ("background",), "sometimes"),
    ]


def test_words_source_version_and_day_change_in_place(rules):
    """Everything else stays byte for byte."""
    before = (rules / CAUSE).read_text(encoding="utf-8")

    files = {file.path: file for file in learned_files(rules, both(rules), EVIDENCE, "2026-12-01")}

    names = {path.relative_to(rules).as_posix() for path in files}
    assert names == {CAUSE, "symptoms/low-salt-warning.yaml", "sources.yaml"}
    wanted = before
    for old, new in (
        ("low-salt-warning: sometimes", "low-salt-warning: usually"),
        ("common: common", "common: very-common"),
        ("version: 1", "version: 2"),
        ('changed: "2026-11-25"', 'changed: "2026-12-01"'),
        ("sources: [made-up-practice]", "sources: [made-up-practice, outcomes-2026-11-30]"),
    ):
        assert old in wanted
        wanted = wanted.replace(old, new, 1)
    assert files[rules / CAUSE].after == wanted
    assert files[rules / "sources.yaml"].after.endswith(
        f'\noutcomes-2026-11-30:\n  kind: outcomes\n  cite: "{EVIDENCE.cite}"\n'
    )
    assert (rules / CAUSE).read_text(encoding="utf-8") == before, "something was written unasked"


def test_a_list_with_an_item_a_line_gets_a_line(rules):
    path = rules / CAUSE
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("sources: [made-up-practice]", "sources:\n  - made-up-practice"), encoding="utf-8")

    files = {file.path: file for file in learned_files(rules, both(rules), EVIDENCE)}

    assert "sources:\n  - made-up-practice\n  - outcomes-2026-11-30\n" in files[path].after


def test_a_version_rises_once_between_releases(rules):
    release(rules, write=True)
    write_fixed(learned_files(rules, both(rules), EVIDENCE))
    assert "version: 2\n" in (rules / CAUSE).read_text(encoding="utf-8")
    again = [proposal(rules, "water-too-cold", ("shows", "low-salt-warning"), "often")]

    files = {file.path: file for file in learned_files(rules, again, Evidenced("outcomes-2026-12-31", "More."))}

    assert "version: 2\n" in files[rules / CAUSE].after


def test_what_is_written_loads_and_says_the_new_words(rules):
    files = learned_files(rules, both(rules), EVIDENCE)
    with tried(rules, files) as changed:
        knowledge = load_knowledge(changed)

    assert knowledge.causes["water-too-cold"].shows["low-salt-warning"] == "usually"
    assert knowledge.causes["water-too-cold"].common == "very-common"
    assert knowledge.symptoms["low-salt-warning"].background == "sometimes"
    assert knowledge.sources["outcomes-2026-11-30"].kind == "outcomes"


def test_rules_that_would_not_pass_are_not_written(rules):
    """The same source a second time is a key a second time."""
    write_fixed(learned_files(rules, both(rules), EVIDENCE))
    again = [proposal(rules, "water-too-cold", ("shows", "low-salt-warning"), "often")]

    with (
        pytest.raises(KnowledgeRefused, match="outcomes-2026-11-30"),
        tried(rules, learned_files(rules, again, EVIDENCE)),
    ):
        pass


def test_a_word_in_another_form_is_left_to_the_maintainer(rules):
    path = rules / CAUSE
    text = path.read_text(encoding="utf-8").replace("common: common", 'common: "c\\x6fmmon"')
    path.write_text(text, encoding="utf-8")

    with pytest.raises(UsageRefused, match=r"water-too-cold.yaml: common is not written as a plain common"):
        learned_files(rules, both(rules), EVIDENCE)


def test_the_changelog_gets_a_line_at_the_end_of_its_newest_part(rules):
    log = rules.parent / "CHANGELOG.md"
    log.write_text("# Changelog\n\n## 0.2.0\n\n- Old line.\n\n## 0.1.0\n\n- Older line.\n", encoding="utf-8")

    files = {file.path: file for file in learned_files(rules, both(rules), EVIDENCE)}

    line = (
        "- 3 words of 2 rules were learned from outcomes, 812 calls, 2026-01-02 to 2026-11-30, 600 of them confirmed"
        " (`outcomes-2026-11-30`)."
    )
    assert files[log].after == (f"# Changelog\n\n## 0.2.0\n\n- Old line.\n{line}\n\n## 0.1.0\n\n- Older line.\n")


def test_a_source_gets_an_id_that_is_free(rules):
    calls = [
        ClosedCall(None, confirmed, day, frozenset()) for confirmed, day in (((), "2026-11-30"), (("x",), "2026-01-02"))
    ]  # type: ignore[arg-type]
    assert evidence_of(Outcomes(tuple(calls)), rules) == Evidenced(
        "outcomes-2026-11-30", "Outcomes, 2 calls, 2026-01-02 to 2026-11-30, 1 of them confirmed."
    )
    write_fixed(learned_files(rules, both(rules), EVIDENCE))

    assert evidence_of(Outcomes(tuple(calls)), rules).id == "outcomes-2026-11-30-2"
