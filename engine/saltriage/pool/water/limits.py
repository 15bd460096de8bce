"""How much of a chemical goes in at once, how, and how long to wait: common practice, with no published source.

The label of the product wins wherever it asks for less or for longer.
"""

from dataclasses import dataclass

COMMON_PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class AdditionLimit:
    """Most of one reagent in a single addition (mmol per litre of pool; None: no cap), and the wait after each.

    `how` says how to add it, `caution` what can hurt; the pump runs while adding and while waiting.
    """

    most_mmol_per_l: float | None
    wait_h: float
    how: str
    caution: str = ""
    source: str = COMMON_PRACTICE


_ACID_CAUTION = (
    "Goggles, gloves, upwind. Acid into water, never water into acid. Never near chlorine products of any kind:"
    " they make"
    " chlorine gas. Nobody in the water until it is mixed."
)
_CHLORINE_CAUTION = (
    "Goggles, gloves. Never mix with acid or with another chlorine product, not even in the same bucket. Nobody"
    " in the water"
    " until free chlorine is back in range."
)
_ACID_HOW = (
    "Pump running; pour slowly along the deep end in front of a return jet, or pre-diluted in a bucket of pool water."
)
_ACID = AdditionLimit(0.25, 4.0, _ACID_HOW, _ACID_CAUTION)

LIMITS: dict[str, AdditionLimit] = {
    # 0.25 mmol/L: 25 mL of 31.45 % acid per m3
    "hydrochloric_acid": _ACID,
    "sodium_bisulfate": AdditionLimit(
        0.25, 4.0, "Pump running; dissolve in a bucket of pool water, then pour slowly.", _ACID_CAUTION
    ),
    "sulfuric_acid": AdditionLimit(0.125, 4.0, _ACID_HOW, _ACID_CAUTION),
    # 0.6 mmol/L: 50 g/m3, 30 mg/L of alkalinity
    "sodium_bicarbonate": AdditionLimit(0.6, 6.0, "Pump running; broadcast over the deep end."),
    # 0.15 mmol/L: 16 g/m3; more at once clouds the water
    "sodium_carbonate": AdditionLimit(
        0.15,
        4.0,
        "Pump running; dissolve in a bucket of pool water, pour slowly; never within hours of calcium chloride.",
        "Gloves and goggles: strongly alkaline.",
    ),
    "sodium_hydroxide": AdditionLimit(
        0.2, 4.0, "For a technician: pump running, pre-diluted.", "Causes severe burns; not for owners."
    ),
    # 0.5 mmol/L: 50 mg/L of hardness
    "calcium_chloride": AdditionLimit(
        0.5,
        6.0,
        "Pump running; dissolve small amounts in a bucket of pool water, then pour in front of a return jet.",
        "Gets hot while dissolving: product into water, little by little; gloves and goggles.",
    ),
    "cyanuric_acid": AdditionLimit(
        None, 48.0, "In a sock in front of a return jet; dissolves over days: do not backwash, test again after a week."
    ),
    "sodium_chloride": AdditionLimit(
        None,
        24.0,
        "Cell off, pump running; broadcast and brush until dissolved; cell on only when it is all dissolved.",
    ),
    "boric_acid": AdditionLimit(1.5, 6.0, "Pump running; broadcast over the deep end.", "Keep from children; gloves."),
    "borax": AdditionLimit(0.25, 6.0, "Pump running; broadcast over the deep end.", "Keep from children; gloves."),
    # 0.07 mmol/L: 5 mg/L of free chlorine
    "sodium_hypochlorite": AdditionLimit(
        0.07, 1.0, "Pump running; pour slowly in front of a return jet.", _CHLORINE_CAUTION
    ),
    "calcium_hypochlorite": AdditionLimit(
        0.035, 2.0, "Pump running; dissolve in a bucket of pool water, product into water.", _CHLORINE_CAUTION
    ),
    "dichlor": AdditionLimit(0.035, 2.0, "Pump running; broadcast over the deep end.", _CHLORINE_CAUTION),
    "trichlor": AdditionLimit(0.023, 24.0, "In a feeder or floater, never in the skimmer.", _CHLORINE_CAUTION),
    "carbon_dioxide": AdditionLimit(
        0.3, 2.0, "Through a feeder only.", "Collects in low rooms and suffocates: ventilate."
    ),
}

OTHER_LIMIT = AdditionLimit(0.1, 4.0, "Pump running; as the label says.", "Read the label.")
EXCHANGE_MOST_AT_ONCE = 1.0 / 3.0
"""Fraction drained at once: keeps a liner in place and a shell from floating (common practice, no source)."""
EXCHANGE_MOST = 0.8  # beyond this it is a new filling, not a correction (own judgement)
EXCHANGE_WAIT_H = 6.0  # mixing, common practice, no source
EXCHANGE_CAUTION = (
    "Cell, heater and pump off at the breaker while the level is below the skimmer. Never drain a pool where"
    " groundwater is high"
    " or in a heat wave without a professional: a shell can float, a liner shrink. Follow local rules for salted water."
)
AERATION_HOW = (
    "Return jets up, waterfall, spa jets or air on; nothing is added. How long depends on the pool: test every"
    " few hours and"
    " stop at the pH named."
)


def limit_for(reagent: str) -> AdditionLimit:
    """The limit of a reagent; a cautious one where none is known."""
    return LIMITS.get(reagent, OTHER_LIMIT)
