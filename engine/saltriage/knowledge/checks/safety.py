"""Checks that keep people safe. Data only; codes are never used again."""

from saltriage.knowledge.checks.check import Check, Example

__all__ = ["CHECKS"]

CHECKS = (
    Check(
        "R049",
        "no-safety-note",
        "A risky action without a safety note",
        "An action that adds a chemical, opens equipment or carries a risk shows the cautions of reviewed notes.",
        Example(
            "Suspect temperature or the cell.}\n",
            "Suspect temperature or the cell.}\nsafety: [lift-with-care]\n",
            at="actions/add-salt.yaml",
        ),
    ),
    Check(
        "R050",
        "stop-not-covered",
        "A dangerous cause without its stop rule",
        "covered-by names a rule of safety/ with kind stop.",
        Example("covered-by: lift-with-care", "covered-by: burnt-electrics", at="causes/power/box-overheated.yaml"),
    ),
    Check(
        "R051",
        "action-past-stop",
        "A dangerous cause whose stop rule leaves none of its actions",
        "A danger forbids by what an action touches and moves; somebody must still be called, or do the repair.",
        Example("do: test-again", "do: call-electrician", at="causes/power/box-overheated.yaml"),
    ),
    Check(
        "R067",
        "no-rescue",
        "A danger to life without an order that saves",
        "Of all that a danger to life demands, one order must get people away, out, or helped.",
        Example("rescue: false", "rescue: true", at="orders/keep-away.yaml"),
    ),
    Check(
        "R068",
        "too-long-to-say",
        "What a stop rule says first is too long",
        "It must be read in ten seconds: 40 words.",
        Example(
            "{owner: " + "Keep away from it. " * 11 + ",",
            "{owner: Keep away and switch off at the breaker if you can do so safely.,",
            at="safety/burnt-electrics.yaml",
        ),
    ),
    Check(
        "R063",
        "chemical-not-named",
        "A step adds a chemical that the action does not name in `adds`",
        "Doses, cautions and stop rules look at `adds`; what only a step says is not held back by them. Words for "
        "chemicals stand in wording.yaml.",
        Example(
            "owner: [Pour a litre of acid into the deep end.]",
            "owner: [Test with a fresh strip.]",
            at="actions/test-again.yaml",
        ),
    ),
    Check(
        "R064",
        "no-pouring-caution",
        "A step pours a chemical without its caution",
        "wording.yaml names the safety notes that belong to pouring each chemical; `safety` must hold them.",
        Example("safety: [burnt-electrics]", "safety: [lift-with-care]", at="actions/add-salt.yaml"),
    ),
    Check(
        "R065",
        "chemical-in-skimmer",
        "A step puts a chemical into the skimmer",
        "It goes undiluted through pump and cell, and meets what lies in the basket. Let it go in along the deep end, "
        "before a return.",
        Example(
            "Pour the salt into the skimmer with the pump running.",
            "Pour the salt along the deep end with the pump running.",
            at="actions/add-salt.yaml",
        ),
    ),
    Check(
        "R094",
        "memory-not-said",
        "A number from memory closes a pool or caps a dose, and the rule does not say so",
        "Targets, limits of doses and stop rules are acted on: say `from memory` in guidance or in what is said to "
        "support, or find the number in print.",
        Example("kind: memory", "kind: common-practice", at="sources.yaml"),
    ),
)
