"""A plan as one self-contained HTML page that prints well; holds no script and loads nothing."""

from dataclasses import dataclass
from datetime import datetime

from markupsafe import Markup

from saltriage.plans import PlanLine, PlanResult, Scheduled, SumLine, scheduled
from saltriage.pool.units import System
from saltriage.report.plan.words import MORNING, every_text, forecast_lines, only_if, sum_text, wait_text, when_text
from saltriage.report.shared.course_picture import course_picture
from saltriage.report.shared.page_engine import environment, style
from saltriage.report.shared.plan_picture import plan_picture
from saltriage.report.shared.words import CALL, JOB
from saltriage.report.water.text import plan_lines

__all__ = ["PlanView", "plan_html"]


@dataclass(frozen=True, slots=True)
class PlanView:
    """What the template needs beside the plan itself."""

    plan: PlanResult
    reader: str
    units: System
    start: datetime | None

    @property
    def once(self) -> list[Scheduled]:
        lines = [line for line in self.plan.lines if line.every_days is None]
        return scheduled(lines, self.start or MORNING)

    @property
    def again(self) -> list[PlanLine]:
        lines = [line for line in self.plan.lines if line.every_days is not None and not line.held]
        return sorted(lines, key=lambda line: line.every_days or 0.0)

    @property
    def held(self) -> list[PlanLine]:
        return [line for line in self.plan.lines if line.held]

    @property
    def forecast(self) -> list[str]:
        return forecast_lines(self.plan.forecast, self.start)

    @property
    def picture(self) -> Markup:
        forecast = self.plan.forecast
        return (
            Markup("") if forecast is None else course_picture(forecast.course, forecast.reached.level, forecast.limit)
        )

    def when(self, one: Scheduled) -> str:
        return when_text(one, self.start is not None)

    def every(self, line: PlanLine) -> str:
        text = every_text(line.every_days or 0.0)
        return text[0].upper() + text[1:]

    def wait(self, line: PlanLine) -> str:
        return wait_text(line.wait_h)

    def only_if(self, line: PlanLine) -> str:
        return only_if(line.only_if)

    def sum(self, line: SumLine) -> str:
        return sum_text(line, self.units)

    def missing(self, line: PlanLine) -> str:
        worked = line.worked
        return ", ".join(self.plan.titles.get(key, key) for key in worked.missing) if worked else ""

    def balance(self, line: PlanLine) -> list[str]:
        """Lines of the doses, each paragraph in one piece."""
        if line.worked is None or line.worked.balance is None:
            return []
        return [
            text.strip().removeprefix("- ")
            for text in _unwrapped(plan_lines(line.worked.balance, self.units))
            if text.strip()
        ]

    def doses(self, line: PlanLine) -> Markup:
        """The doses of a step over time; empty where it has none."""
        balance = line.worked.balance if line.worked is not None else None
        return plan_picture(balance.course, balance.course_targets) if balance is not None else Markup("")

    def job(self, word: str) -> str:
        return JOB.get(word, word)

    def call(self, word: str) -> str:
        return CALL.get(word, "")


def _unwrapped(lines: object) -> list[str]:
    """Lines wrapped for a terminal joined again: what neither opens an item nor stands at the edge goes on."""
    found: list[str] = []
    for line in lines:  # type: ignore[attr-defined]
        text = line.strip()
        opens = text.startswith("- ") or text[:2].rstrip(".").isdigit() or text.isupper() or not found
        deeper = len(line) - len(line.lstrip())
        if found and not opens and deeper > 2:
            found[-1] = f"{found[-1]} {text}"
        else:
            found.append(text)
    return found


def plan_html(
    plan: PlanResult, *, reader: str = "owner", units: System = "metric", start: datetime | None = None
) -> str:
    """The whole plan as an HTML document that needs no other file."""
    view = PlanView(plan, reader, units, start)
    template = environment().get_template("plan.html.j2")
    return template.render(view=view, plan=plan, style=Markup("\n" + style())) + "\n"
