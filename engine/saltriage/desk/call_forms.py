"""In which forms calls leave the desk."""

from enum import StrEnum

__all__ = ["CallForm"]


class CallForm(StrEnum):
    """json: whole calls. csv: for spreadsheets. cases: a line each for `batch`. outcomes: what closed calls teach."""

    json = "json"
    csv = "csv"
    cases = "cases"
    outcomes = "outcomes"
