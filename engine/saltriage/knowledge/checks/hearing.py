"""Checks of hearing rules. Data only; codes are never used again."""

from saltriage.knowledge.checks.check import Check, Example

__all__ = ["CHECKS"]

_TALK = "hearing/talk-of-salt.yaml"
_SECOND_TALK = """\
# yaml-language-server: $schema=../../schemas/hearing.schema.json
id: more-talk
version: 1
changed: "2026-11-29"
status: stable
title: How callers speak of more
sources: [made-up-practice]
order: 10
synonyms:
  strip: [strip, paper]
examples:
  - {say: the paper was old}
"""

CHECKS = (
    Check(
        "R080",
        "pattern-form",
        "A pattern that cannot be used",
        "It is no regular expression, names a part that the rule does not have before it, or lacks a group that its "
        "kind of entry needs.",
        Example("pattern: 'ppm(\\b'", "pattern: 'ppm\\b'", at=_TALK),
    ),
    Check(
        "R081",
        "unknown-concept",
        "A concept that no hearing rule has",
        "Concepts are the keys of synonyms; a label that begins with = names one.",
        Example("with: slat,", "with: salt,", at=_TALK),
    ),
    Check(
        "R082",
        "said-twice",
        "An entry that another hearing rule or symptom owns",
        "What callers say is read in one way. A saying is a phrase of its symptom or a denial, and stands once.",
        Example("- {say: low salt light, denies:", "- {say: salt is fine, denies:", at=_TALK),
    ),
    Check(
        "R083",
        "comparison-incomplete",
        "A comparison that can never say anything",
        "It compares readings or numbers of a pattern, and holds something against them: a limit of its own, or that "
        "of the symptom's rule.",
        Example(
            "as-symptom: {symptom: low-salt-warning}",
            "below: {value: 1500, unit: mg/L, source: made-up-practice, margin: 200}",
            at=_TALK,
        ),
    ),
    Check(
        "R084",
        "order-taken",
        "Two hearing rules with one order",
        "Which of them applies first would hang on their names. Every hearing rule has a number of its own.",
        Example(_SECOND_TALK, at="hearing/more-talk.yaml", how="file"),
    ),
)
