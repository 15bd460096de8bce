"""Checks of conditions and numbers. Data only; codes are never used again."""

from saltriage.knowledge.checks.check import Check, Example

__all__ = ["CHECKS"]

CHECKS = (
    Check(
        "R047",
        "unit-mismatch",
        "A number in another unit than its reading",
        "Thresholds use the canonical unit of their reading; two readings compared have the same unit.",
        Example("by: {value: 24, unit: g,", "by: {value: 24, unit: h,", at="actions/add-salt.yaml"),
    ),
    Check(
        "R048",
        "threshold-out-of-range",
        "A threshold the reading can never reach",
        "Readings outside their allowed range are refused, so a threshold outside it never matters.",
        Example("salt-band-low: {value: 27,", "salt-band-low: {value: 2700,", at="equipment/small-unit.yaml"),
    ),
    Check(
        "R058",
        "empty-range",
        "A range whose low end is above its high end",
        "Swap the two.",
        Example("allowed: {low: 60000, high: 50000,", "allowed: {low: 0, high: 50000,", at="readings/salt.yaml"),
    ),
    Check(
        "R059",
        "no-margin",
        "A threshold without a margin",
        "The margin says how far the threshold may move before a reference case must notice.",
        Example(
            "source: made-up-practice}}", "source: made-up-practice, margin: 100}}", at="symptoms/salt-below-band.yaml"
        ),
        can_be_waived=True,
    ),
)
