"""A lesson in words."""

from collections.abc import Sequence

from saltriage.knowledge.settings import Learning
from saltriage.learning.outcomes import Outcomes
from saltriage.learning.proposals import Lesson, Proposal

__all__ = ["lesson_text"]


def lesson_text(
    outcomes: Outcomes, found: Lesson, settings: Learning, changed: Sequence[int] = (), callers: int = 0
) -> str:
    """What was read, and every proposal.

    Args: settings: as in `learning` of knowledge.yaml.    changed: how many of so many callers get another first cause
    by each proposal alone; empty where nobody counted.
    """
    first, last = outcomes.days
    lines = [f"closed calls: {found.calls}, {outcomes.confirmed} confirmed, {first} to {last}"]
    if not found.enough:
        return f"{lines[0]}; from fewer than {settings.least_calls} nothing is proposed\n"
    if found.counted < found.calls:
        left_out = found.calls - found.counted
        lines.append(f"left out: {left_out} calls whose answers the rules hold impossible, or are too many at once")
    least = settings.least_informative
    heard = sum(count >= least for count in found.informative)
    lines.append(f"words that {least} calls or more speak of: {heard} of {len(found.words)}")
    lines.append(f"words that should be others: {len(found.proposals)}")
    for place, each in enumerate(found.proposals):
        lines.append(_line(each, settings.interval))
        if callers:
            lines.append(f"    alone it gives {changed[place]} of {callers} sampled callers another first cause")
    return "\n".join(lines) + "\n"


def _line(each: Proposal, level: float) -> str:
    word = f"{each.word.name}: {each.word.word} ({each.number:g}) -> {each.proposed}"
    interval = f"{each.estimate:.2g}, within {each.low:.2g} to {each.high:.2g} at {level:.0%}"
    return f"  {word}; {each.informative} calls say {interval}"
