"""`rules explain`: how a cause came by its chance in one case, as a sum that adds up exactly.

The log-odds of a cause begin at how common it is; each answer adds its step, what is present first, then in the order
of ids. What a step is made of stands beside it: how often the cause shows the symptom, how often anybody has it, how
often answers are wrong, and which other likely causes show it too and so take part of the credit.
"""

import math
from dataclasses import dataclass

from saltriage.case import Case
from saltriage.diagnosis import examine
from saltriage.errors import UsageRefused
from saltriage.explain import Explained
from saltriage.explain.chance_words import chance_word
from saltriage.knowledge.consequences import consequences
from saltriage.knowledge.findings import nearest
from saltriage.knowledge.model import Knowledge
from saltriage.ranking import AnswerWeight, evidence_weights_of

__all__ = ["ChanceSum", "SumStep", "explained", "explained_text"]

_RIVALS = 3
_SMALL = 0.02  # steps smaller than this are added up in one line
_LEAST_RIVAL = 0.02  # a cause less likely than this takes no credit worth naming


@dataclass(frozen=True, slots=True)
class SumStep:
    """One answer: what it adds (natural log-odds), the chance after it, and what goes into it."""

    symptom: str
    title: str
    present: bool
    adds: float
    chance: float
    word: str
    frequency: float
    background: float
    error: float
    rivals: tuple[tuple[str, str, float], ...]


@dataclass(frozen=True, slots=True)
class ChanceSum:
    """The whole sum: prior + silence + steps = log-odds of `chance`. `place`: among all causes, from 1.

    The chance is that of the rules; a report says it less the share of calls that the rules misjudge.
    """

    case: str
    cause: str
    title: str
    common: str
    prior: float
    silence: float
    steps: tuple[SumStep, ...]
    log_odds: float
    chance: float
    place: int


def explained(case: Case, cause: str, knowledge: Knowledge) -> ChanceSum:
    """The sum for one cause in one case.

    Raises: UsageRefused: there is no such cause, or it cannot apply to this pool.
    """
    if cause not in knowledge.causes:
        raise UsageRefused(f"{cause}: no cause has this id. {nearest(cause, knowledge.causes)}".strip())
    examined = examine(case, knowledge)
    network, chances = examined.network, examined.chances
    if cause not in network.cause_index:
        raise UsageRefused(f"{cause}: cannot apply to this pool; see `applies` in its rule")
    (weights,) = evidence_weights_of(network.network, examined.evidence, [network.cause_index[cause]])
    steps, sum_so_far = [], weights.prior + weights.silence_step
    for answer in weights.answers:
        sum_so_far += answer.step
        steps.append(_step(examined, cause, answer, _chance(sum_so_far)))
    rule = knowledge.causes[cause]
    return ChanceSum(
        case.id, cause, rule.title, rule.common, weights.prior, weights.silence_step, tuple(steps), weights.log_odds,
        _chance(weights.log_odds), list(chances).index(cause) + 1,
    )  # fmt: skip


def _step(examined: Explained, cause: str, answer: AnswerWeight, chance: float) -> SumStep:
    symptom = examined.network.symptoms[answer.symptom]
    knowledge = examined.found.believed.situation.knowledge
    scales, rule = knowledge.scales, knowledge.symptoms[symptom]
    shown = consequences(knowledge)
    word = shown[cause].get(symptom, "")
    rivals = [
        (other, shown[other][symptom], likely)
        for other, likely in examined.chances.items()
        if other != cause and likely >= _LEAST_RIVAL and symptom in shown[other]
    ]
    return SumStep(
        symptom, rule.title, answer.present, answer.step, chance, word, scales.frequency.get(word, 0.0),
        scales.background[rule.background], scales.answer_error[rule.kind], tuple(rivals[:_RIVALS]),
    )  # fmt: skip


def _chance(log_odds: float) -> float:
    return 1.0 / (1.0 + math.exp(-log_odds))


def explained_text(found: ChanceSum) -> str:
    """One line a step: what it adds, the sum so far as a chance, and why."""
    total = found.prior
    lines = [
        f"{found.title} ({found.cause}) in case {found.case}: {chance_word(found.chance)}, {found.chance:.1%},"
        f" place {found.place}",
        "",
        "    adds  log-odds  chance  because",
        f"          {total:+8.3f}  {_chance(total):6.1%}  {found.common} among calls",
    ]
    if found.silence:
        total += found.silence
        lines.append(f"{found.silence:+8.3f}  {total:+8.3f}  {_chance(total):6.1%}  complaints that nobody made")
    large = [step for step in found.steps if abs(step.adds) >= _SMALL]
    for step in large:
        total += step.adds
        lines.append(f"{step.adds:+8.3f}  {total:+8.3f}  {_chance(total):6.1%}  {_because(step)}")
    small = [step.adds for step in found.steps if abs(step.adds) < _SMALL]
    if small:
        total += sum(small)
        told = f"{len(small)} other answers, less than {_SMALL} each"
        lines.append(f"{sum(small):+8.3f}  {total:+8.3f}  {_chance(total):6.1%}  {told}")
    lines += ["", f"sum {total:+.3f} = log-odds of {found.chance:.4f}"]
    return "\n".join(lines) + "\n"


def _because(step: SumStep) -> str:
    shown = f"shown {step.word} ({step.frequency:g})" if step.word else "not among what it shows"
    rivals = ", ".join(f"{cause} {word} at {chance:.0%}" for cause, word, chance in step.rivals)
    told = f"{step.symptom} {'present' if step.present else 'absent'}: {shown}, anybody {step.background:g}"
    return f"{told}, wrong answers {step.error:g}" + (f"; also shown by {rivals}" if rivals else "")
