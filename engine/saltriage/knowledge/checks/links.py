"""Checks of what rules and cases say of each other. Data only; codes are never used again."""

from saltriage.knowledge.checks.check import Check, Example

__all__ = ["CHECKS"]

CHECKS = (
    Check(
        "R040",
        "unknown-id",
        "An id that no rule has",
        "A rule refers to a symptom, reading, cause, action, doubt, safety note or profile that is not there.",
        Example("settle:\n  by: [salt, salt-below-bend]", "settle:\n  by: [salt, salt-below-band]"),
    ),
    Check(
        "R041",
        "unknown-source",
        "A source that sources.yaml does not list",
        "Every rule and number says where it comes from.",
        Example("sources: [made-up-practise]", "sources: [made-up-practice]"),
    ),
    Check(
        "R042",
        "unknown-case",
        "A case that is not under cases/reference",
        "Every rule is tied to a reference case that fails without it.",
        Example("cases: [low-salt-after-snow]", "cases: [low-salt-after-rain]"),
    ),
    Check(
        "R043",
        "retired-id",
        "A retired rule is still referred to",
        "Refer to the rule that takes its place.",
        Example(
            "status: retired\nretired-because: Nobody waits for it.", "status: stable", at="actions/test-again.yaml"
        ),
    ),
    Check(
        "R044",
        "case-refused",
        "A case that a diagnosis would refuse",
        "What `saltriage diagnose` cannot believe or understand is no case: a number without its unit, "
        "a unit of another quantity, a value past what can be.",
        Example(
            'salt: "1900 kg"',
            "salt: {value: 1900, unit: mg/L, method: drop-test}",
            at="cases/reference/salt/low-salt-after-rain.yaml",
        ),
    ),
    Check(
        "R045",
        "circular",
        "Derived symptoms depend on each other in a circle",
        "None of them could ever be settled. Take one reference out.",
        Example("  any:\n    - {symptom: salt-below-band}", "  any:", at="symptoms/salt-below-band.yaml"),
    ),
    Check(
        "R046",
        "doubt-on-derived",
        "A condition uses what is not yet settled at that point",
        "Doubts are settled before symptoms are derived, so they use readings, asked symptoms and contexts only.",
        Example("when: {symptom: water-cold}", "when: {symptom: strip-was-old}", at="doubts/old-strip.yaml"),
    ),
    Check(
        "R052",
        "settle-not-shown",
        "The decisive test is not one of what the cause shows",
        "settle.by names symptoms the cause shows, or readings behind a derived one.",
        Example("by: [burning-smell]", "by: [salt, salt-below-band]"),
    ),
    Check(
        "R053",
        "nothing-shared",
        "Look-alikes that share no symptom",
        "Causes that have no symptom in common are not mistaken for each other.",
        Example(
            "shows: {burning-smell: usually}",
            "shows: {burning-smell: usually, low-salt-warning: rarely}",
            at="causes/power/box-overheated.yaml",
        ),
        can_be_waived=True,
    ),
    Check(
        "R054",
        "refers-to-itself",
        "A rule refers to itself",
        "Name another rule.",
        Example("{cause: salt-too-low,", "{cause: water-too-cold,"),
    ),
    Check(
        "R055",
        "does-not-split",
        "The splitting symptom is equally frequent in both causes",
        "What tells two causes apart is shown more often by one of them.",
        Example("split-by: burning-smell", "split-by: salt-below-band"),
        severity="warning",
        can_be_waived=True,
    ),
    Check(
        "R056",
        "unused",
        "A rule that nothing uses",
        "Refer to it, or retire it.",
        Example(
            "hearsay: {kind: memory, cite: Somebody said so.}\nmade-up-practice:",
            "made-up-practice:",
            at="sources.yaml",
        ),
        severity="warning",
        can_be_waived=True,
    ),
    Check(
        "R057",
        "unknown-calculator",
        "A calculator that is not registered",
        "Computed readings and doses name functions of the engine; formulas are not written in rules.",
        Example("calculator: salt-to-ad", "calculator: salt-to-add", at="actions/add-salt.yaml"),
    ),
    Check(
        "R061",
        "wrong-kind",
        "A rule of the right name but the wrong kind",
        "For example a safety note where a stop rule belongs, or a derived symptom that is to be asked.",
        Example("safety: [burnt-electrics]", "safety: [lift-with-care]", at="actions/add-salt.yaml"),
    ),
    Check(
        "R062",
        "rests-on-demo",
        "A rule that rests on an invented source",
        "Sources of kind invented are for the demo; advice needs another source.",
        Example("kind: invented", "kind: common-practice", at="sources.yaml"),
        can_be_waived=True,
    ),
)
