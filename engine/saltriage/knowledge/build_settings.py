"""Checked data of the single files and of keys of rules -> `saltriage.knowledge.settings`."""

from typing import Any

from saltriage.knowledge.settings import (
    NO_ANSWER,
    NO_PICTURE,
    AdvisingCosts,
    AnswerAfterDose,
    Answered,
    AskingCosts,
    DosingHabits,
    EmergencyNumbers,
    FormLists,
    Learning,
    Picture,
    Pictures,
    ReadingAfterDose,
    Scales,
    SymptomKinds,
)
from saltriage.pool.forecast.factors import Climb, DemandRange, ForecastFactors, Span

__all__ = [
    "advising", "answer_after_dose", "asking", "dosing", "emergency", "forecast", "forms", "kinds", "learning",
    "picture", "pictures", "reading_after_dose", "scales",
]  # fmt: skip

Data = dict[str, Any]


def scales(data: Data) -> Scales:
    """The numbers behind words."""
    numbers = {name.replace("-", "_"): _numbers(scale) for name, scale in data.items()}
    other = numbers.pop("other_cause")
    return Scales(
        other_cause_prior=other["prior"],
        other_cause_strength=other["strength"],
        other_cause_times_background=other["times-background"],
        misjudged=numbers.pop("misjudged")["share"],
        **numbers,
    )


def _numbers(data: Data) -> dict[str, float]:
    return {word: float(number) for word, number in data.items() if word != "source"}


def asking(data: Data) -> AskingCosts:
    """What a question costs."""
    apart = ("source", "risk-minutes", "answered")
    plain = {key.replace("-", "_"): each for key, each in data.items() if key not in apart}
    return AskingCosts(answered=_answered(data["answered"]), risk_minutes=_numbers(data["risk-minutes"]), **plain)


def _answered(data: Data) -> Answered:
    return Answered(
        kinds=_numbers(data["symptoms"]),
        reading=float(data["readings"]),
        by_id=_numbers(data["by-id"]),
        otherwise_symptom=float(data["otherwise"]["symptoms"]),
        otherwise_reading=float(data["otherwise"]["readings"]),
        look_alikes=float(data["look-alikes"]),
        goes_to_look=float(data["goes-to-look"]),
        minutes_to_tell=float(data["minutes-to-tell"]),
        minutes_of_not_knowing=float(data["minutes-of-not-knowing"]),
        at_hand=float(data["at-hand"]),
        questions_due=data["questions-due"],
        questions_after_words=data["questions-after-words"],
        least_bits=float(data["least-bits"]),
    )


def advising(data: Data) -> AdvisingCosts:
    """What an action costs."""
    numbers = _numbers(data["risk-minutes"])
    shown = data["several-chemicals"], data["all-well"], data["first-test"]
    return AdvisingCosts(numbers, float(data["visit-minutes"]), *shown)


def dosing(data: Data) -> DosingHabits:
    """Habits of dosing."""
    plain = ("least-part", "chlorine-step", "sour-below-ph", "air-hours", "much-new-water")
    return DosingHabits(
        usual_demand=_span(data["usual-demand"]),
        soak_parts_of_water=float(data["soak"]["parts-of-water"]),
        soak_acid_percent=float(data["soak"]["acid-percent"]),
        products=data["products"],
        **{key.replace("-", "_"): float(data[key]) for key in plain},
    )


def learning(data: Data) -> Learning:
    """When closed calls may change a word."""
    plain = {key.replace("-", "_"): each for key, each in data.items() if key not in ("source", "pseudo-counts")}
    return Learning(pseudo_counts=_numbers(data["pseudo-counts"]), **plain)


def kinds(data: Data) -> SymptomKinds:
    """What kinds of symptoms have in common."""
    return SymptomKinds(*(frozenset(data[key]) for key in ("complaints", "from-afar", "listed")))


def picture(data: Data | None) -> Picture:
    """A drawing with its part; an empty one where there is none."""
    return Picture(data.get("drawing", ""), data.get("part", "")) if data else NO_PICTURE


def pictures(data: Data) -> Pictures:
    """Where things are and what shows them."""
    return Pictures(
        parts=data["parts"],
        areas=data["areas"],
        headings={word: look["title"] for word, look in data["looks"].items()},
        looks={word: picture(look) for word, look in data["looks"].items()},
        reasons={word: look["why"] for word, look in data["looks"].items()},
    )


def forms(data: Data) -> FormLists:
    """Readings as forms show them."""
    return FormLists(*(tuple(data[key]) for key in ("owner-first", "settings", "first-tests", "water-panel")))


def emergency(data: Data) -> EmergencyNumbers:
    """What to dial."""
    return EmergencyNumbers({region: told["call"] for region, told in data["regions"].items()})


def forecast(data: Data) -> ForecastFactors:
    """The rates of a pool that nobody has measured."""
    demand, climb = data["demand"], data["ph-climb-per-week"]
    return ForecastFactors(
        sun=tuple((float(row["cyanuric-acid"]), _span(row["takes"])) for row in data["sun"]),
        cover={word: _span(ends) for word, ends in data["cover"].items()},
        demand=DemandRange(_span(demand["takes"]), float(demand["at-degc"]), float(demand["doubles-every-degc"])),
        grams_per_bather=_span(data["grams-per-bather"]),
        output_of_rated=_span(data["output-of-rated"]),
        ph_climb=Climb(_span(climb["usual"]), _span(climb["high-alkalinity"]), float(climb["high-above"])),
        not_tested={reading: float(number) for reading, number in data["not-tested"].items()},
    )


def _span(ends: list[float]) -> Span:
    return float(ends[0]), float(ends[1])


def answer_after_dose(data: Data | None) -> AnswerAfterDose:
    """What a follow-up makes of a symptom; nothing where its rule does not say."""
    if data is None:
        return NO_ANSWER
    share, within = data.get("share-left"), data.get("within")
    return AnswerAfterDose(
        new_water=data.get("new-water", False),
        dose_of=data.get("dose-of", ""),
        after=tuple(data.get("after", ())),
        otherwise=data.get("else", ""),
        share_left=share["value"] / 100.0 if share else None,
        within_h=float(within["value"]) if within else None,
    )


def reading_after_dose(data: Data | None) -> ReadingAfterDose:
    """What a follow-up makes of a reading; nothing where its rule does not say."""
    return ReadingAfterDose(**{key.replace("-", "_"): each for key, each in (data or {}).items()})
