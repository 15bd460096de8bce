"""Words that every form of a plan shares: amounts, days, when a level is reached."""

from datetime import datetime, timedelta

from saltriage.plans import Amount, PlanForecast, Scheduled, SumLine
from saltriage.pool.units import System, show
from saltriage.report.shared.words import waiting

__all__ = ["amount_text", "every_text", "forecast_lines", "only_if", "sum_text", "when_text"]

MORNING = datetime(2001, 1, 1, 9)  # stands for day 1 where no date was given; its year is never shown


def amount_text(amount: Amount, units: System) -> str:
    """'60 kg to 95 kg', or one value where both ends read the same."""
    low, high = (show(end, amount.quantity, units, unit=amount.unit) for end in (amount.low, amount.high))
    return low if low == high else f"{low} to {high}"


def sum_text(line: SumLine, units: System) -> str:
    """The sentence with its amounts in the reader's units."""
    text = line.text
    for place, amount in enumerate(line.amounts):
        text = text.replace(f"{{{place}}}", amount_text(amount, units))
    return text


def every_text(days: float) -> str:
    """How often something comes back.

    >>> every_text(1), every_text(7), every_text(3), every_text(30), every_text(91), every_text(365.25)
    ('every day', 'every week', 'every 3 days', 'every month', 'about every 3 months', 'every year')
    """
    whole = round(days)
    named = {1: "every day", 7: "every week", 30: "every month", 91: "about every 3 months", 182: "twice a year"}
    if whole >= 365:
        return "every year" if whole < 400 else f"every {days / 365.25:.0f} years"
    return named.get(whole, f"every {whole} days")


def when_text(one: Scheduled, dated: bool) -> str:
    """'Day 2' or 'Tuesday 4 May 2027, 09:00'."""
    return f"{_date(one.begins)}, {one.begins:%H:%M}" if dated else f"Day {one.day}"


def only_if(what: str) -> str:
    return f"Only if this is so: {what}."


def _date(moment: datetime) -> str:
    return f"{moment:%A} {moment.day} {moment:%B %Y}"


def forecast_lines(forecast: PlanForecast | None, start: datetime | None) -> list[str]:
    """What free chlorine should do, as sentences; empty where there is no forecast."""
    if forecast is None:
        return []
    on = (start or MORNING) + timedelta(hours=forecast.switched_on_h)

    def day(hours: float | None) -> str:
        if hours is None:
            return "not within ten days"
        moment = on + timedelta(hours=hours)
        if start is not None:
            return f"{moment:%A} {moment.day} {moment:%B}"
        return f"day {(moment.date() - MORNING.date()).days + 1}"

    reached = forecast.reached
    middle, early, late = day(reached.middle_h), day(reached.earliest_h), day(reached.latest_h)
    span = "" if early == middle == late else f" (at best {early}, at worst {late})"
    verb = "reach" if reached.middle_h is None or reached.middle_h > 0 else "stay at or above"
    lines = [
        f"At {forecast.hours_per_day:.0f} hours a day free chlorine should {verb}"
        f" {reached.level:g} mg/L: {middle}{span}."
    ]
    most = max(forecast.course.most.free_chlorine)
    last = forecast.course.after(forecast.course.middle.hours[-1])
    lines.append(f"After ten days it lies between {last.low:.1f} and {last.high:.1f} mg/L if nobody changes anything.")
    if forecast.limit is not None and most > forecast.limit:
        over = next(
            hour
            for hour, value in zip(forecast.course.most.hours, forecast.course.most.free_chlorine, strict=True)
            if value > forecast.limit
        )
        lines.append(
            f"It could pass the limit of {forecast.limit:g} mg/L as early as {day(over)}: test, and shorten the"
            " hours in time."
        )
    slow, fast = forecast.course.least.ph, forecast.course.most.ph
    start_ph = (slow[0] + fast[0]) / 2
    lines.append(f"pH drifts by itself from about {start_ph:.1f} to between {slow[-1]:.1f} and {fast[-1]:.1f}.")
    return lines


def wait_text(hours: float) -> str:
    return f"Then wait at least {waiting(hours)}."
