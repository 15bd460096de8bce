"""Follow-up, history and hand-over as self-contained HTML pages."""

from datetime import datetime

from markupsafe import Markup

from saltriage.follow_up import FollowUp, Record
from saltriage.knowledge.model import Knowledge
from saltriage.pool.units import System
from saltriage.report.follow_up.hand_over import HandOver, reading_text
from saltriage.report.follow_up.text import readings_told, verdict_word, volume_line
from saltriage.report.plan.words import forecast_lines
from saltriage.report.shared.course_picture import course_picture, points_picture
from saltriage.report.shared.dose_words import dose_headline
from saltriage.report.shared.page_engine import environment, style
from saltriage.report.shared.words import percent

__all__ = ["follow_up_html", "hand_over_html", "history_html"]


def hand_over_html(bundle: HandOver, units: System = "metric") -> str:
    """The one page for whoever takes over."""
    sections = (
        ("Measured", [reading_text(line, units) for line in bundle.readings]),
        ("Unit and pool", [reading_text(line, units) for line in bundle.settings]),
        ("Seen", bundle.seen),
        ("Looked for and not there", bundle.not_seen),
        ("Tried, and what came of it", bundle.tried or ("nothing is on record",)),
        ("Most likely", [f"{title}, {chance}. {settle}" for title, chance, settle in bundle.causes]),
        ("Photos to take, power off and hands dry", bundle.photos),
        ("Notes", bundle.notes),
    )
    template = environment().get_template("hand_over.html.j2")
    return template.render(bundle=bundle, sections=sections, style=_style()) + "\n"


def history_html(record: Record, knowledge: Knowledge) -> str:
    """Every entry in words, and every reading told more than once as a picture."""
    title = f"History: {record.case.title or record.case.id} ({record.status})"
    parts = [(entry.when.replace("T", " "), _entry_lines(record, place)) for place, entry in enumerate(record.entries)]
    if record.notes:
        parts.insert(0, ("Notes", list(record.notes)))
    return _page(title, parts, _pictures(record, knowledge))


def follow_up_html(result: FollowUp, knowledge: Knowledge, *, reader: str = "owner", units: System = "metric") -> str:
    """What became of the promises, the forecast, and the history as pictures."""
    record = result.record
    promises = {each.action: each for each in record.entries[-2].promises}
    kept = [
        f"{each.title}: {verdict_word(each).lower()}. {each.said}"
        f" Promised: {promises[each.action].see.for_reader(reader)}"
        for each in result.verdicts
    ] or ["Nothing that was advised is said to be done yet."]
    parts = [("What was promised, what came", [*kept, *filter(None, [volume_line(result, units)])])]
    if result.closed:
        parts.insert(0, ("Case closed", ["Everything went as promised and nothing of the old trouble is left."]))
    if result.assumptions:
        parts.append(("Assumed", list(result.assumptions)))
    causes = [f"{each.title}: {each.word}, {percent(each.probability)}" for each in result.diagnosis.causes[:3]]
    for title, dose in result.rest:
        parts.append((f"{title}, the rest", [dose_headline(dose, units), *dose.arithmetic]))
    if result.still_there and not result.closed:
        parts.append(("Still open", [f"{title}: still there, or not asked again" for title in result.still_there]))
    if causes and result.trouble and not result.closed:
        parts.append(("Most likely now", causes))
    forecast, pictures = result.forecast, _pictures(record, knowledge)
    if forecast is not None:
        lines = forecast_lines(forecast, datetime.fromisoformat(record.entries[-1].when))
        parts.append(("What free chlorine should do next", [*lines, *forecast.assumptions]))
        pictures.insert(0, ("Free chlorine", course_picture(forecast.course, forecast.reached.level, forecast.limit)))
    return _page(f"Follow-up: {record.case.title or record.case.id}", parts, pictures)


def _page(title: str, parts: list[tuple[str, list[str]]], pictures: list[tuple[str, Markup]]) -> str:
    template = environment().get_template("history.html.j2")
    return template.render(title=title, parts=parts, pictures=pictures, style=_style()) + "\n"


def _style() -> Markup:
    return Markup("\n" + style())


def _entry_lines(record: Record, place: int) -> list[str]:
    entry = record.entries[place]
    told = readings_told(entry)
    lines = [f"Readings: {told}"] if told else []
    lines += [f"{each.title}: {verdict_word(each).lower()}. {each.said}" for each in entry.verdicts]
    causes = "; ".join(f"{each.title} {percent(each.probability)}" for each in entry.causes[:3])
    return [*lines, f"Most likely: {causes}"] if causes else lines


def _pictures(record: Record, knowledge: Knowledge) -> list[tuple[str, Markup]]:
    found: list[tuple[str, Markup]] = []
    names = dict.fromkeys(each for entry in record.entries for each in entry.numbers)
    for name in names:
        points = [(entry.when, entry.numbers[name]) for entry in record.entries if name in entry.numbers]
        if len(points) < 2 or name not in knowledge.readings:
            continue
        rule = knowledge.readings[name]
        values = [(each.middle - each.half_width, each.middle, each.middle + each.half_width) for _, each in points]
        title = f"{rule.title}, {rule.unit}" if rule.unit else rule.title
        found.append((title, points_picture(values, [when[5:10] for when, _ in points], title)))
    volumes = [(entry.when, entry.volume) for entry in record.entries if entry.volume is not None]
    if volumes:
        values = [(each.low_l / 1000, each.volume_l / 1000, each.high_l / 1000) for _, each in volumes]
        title = "Volume as the doses tell it, m3"
        found.append((title, points_picture(values, [when[5:10] for when, _ in volumes], title)))
    return found
