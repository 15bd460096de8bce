"""Checks of wording, versions, waivers and generated files. Data only; codes are never used again."""

from saltriage.knowledge.checks.check import Check, Example

__all__ = ["CHECKS"]

CHECKS = (
    Check(
        "R060",
        "wording",
        "Wording that does not fit the house style",
        "No exclamation marks, no 'please': calm, short orders.",
        Example(
            "owner: Lift bags with your legs!", "owner: Lift bags with your legs.", at="safety/lift-with-care.yaml"
        ),
        severity="warning",
        can_be_waived=True,
    ),
    Check(
        "R066",
        "phrase-of-another",
        "A phrase that another symptom has as well",
        "Who says it is heard as one of the two only. Leave it to the one it fits better, or say more in it.",
        Example(
            "phrases: [old strips, low salt light, bottle was left open]",
            "phrases: [old strips, strips from last year, bottle was left open]",
            at="symptoms/strip-was-old.yaml",
        ),
        can_be_waived=True,
    ),
    Check(
        "R070",
        "version-not-risen",
        "A changed meaning under the same version",
        "The version rises by one with every change of meaning since the last release, so that people can tell which "
        "rule gave an answer. Explanations, questions, titles, margins, cases and sources are not meaning.",
        Example("background: often", "background: sometimes", at="symptoms/strip-was-old.yaml"),
    ),
    Check(
        "R071",
        "rule-gone",
        "A released rule is gone",
        "Rules are retired, not deleted: stored cases and reports still name them, and an id is never used again.",
        Example(at="equipment/small-unit.yaml", how="gone"),
    ),
    Check(
        "R072",
        "waiver-over",
        "A waiver past its last day",
        "It was meant for a while. Mend what it allows and take it out, or give it another day with a reason.",
        Example(
            'waivers:\n  - {check: R055, rule: causes/salt-too-low, reason: Under review., until: "2026-01-31"}',
            "waivers: []",
            at="waivers.yaml",
        ),
    ),
    Check(
        "R073",
        "waiver-unused",
        "A waiver that allows nothing",
        "What it allowed is mended, or its rule or check is misspelt. Take it out.",
        Example(
            'waivers:\n  - {check: R055, rule: causes/salt-too-low, reason: Under review., until: "2099-12-31"}',
            "waivers: []",
            at="waivers.yaml",
        ),
        severity="warning",
    ),
    Check(
        "R074",
        "ids-not-fresh",
        "The list of ids for editors is not that of the rules",
        "Editors complete ids from schemas/ids.schema.json. It is generated: run `saltriage rules fix --write`.",
        Example('"salt-was-low",', '"salt-too-low",', at="schemas/ids.schema.json"),
    ),
    Check(
        "R069",
        "id-in-program",
        "An id of a rule in the program",
        "What the trade knows stands in rules. The program names only the readings that physics needs, in one list.",
        Example('BAND = "salt-band-low"', "BAND = ids.SALT_BAND_LOW", at="engine/saltriage/advise/band.py"),
    ),
    Check(
        "R075",
        "id-without-rule",
        "The program names a reading that no rule has",
        "A reading that physics needs was taken out or called otherwise; write its rule, or take it out of the list.",
        Example('"salt-band-lower"', '"salt-band-low"', at="engine/saltriage/knowledge/ids.py"),
    ),
)
