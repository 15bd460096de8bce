"""Dangers that stand: in order, with their orders, and what they leave allowed."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace

from saltriage.guard.orders import combined_orders
from saltriage.knowledge.doing import EMERGENCY_NUMBER
from saltriage.knowledge.model import Action, Knowledge, Order, Safety
from saltriage.result import OrderLine, StopNotice, Wording

__all__ = ["COVERED", "LEVELS", "AskedBack", "Danger", "Dangers", "dangers_of"]

LEVELS = ("life", "harm", "unfit")
_WITHIN = ("at-once", "minutes", "hours", "days")
_SURE = ("told", "heard", "inferred")
COVERED = 0.5  # a cause as likely as this raises the stop rule that covers it
_TRADES_WORK = frozenset({"repair", "replace", "clean", "adjust", "check"})


@dataclass(frozen=True, slots=True)
class AskedBack:
    """A danger that the words may mean. Args: symptom: the question that settles it. words: the caller's own."""

    symptom: str
    words: str


@dataclass(frozen=True, slots=True)
class Danger:
    """One stop rule that stands.

    Args:
        level: life, harm or unfit.    because: what raised it, in words.
        sure: told (an answer or a reading), heard (in the caller's words) or inferred (a likely cause).
        words: the caller's own, where it was heard.
    """

    rule: Safety
    level: str
    because: tuple[str, ...]
    sure: str = "told"
    words: str = ""

    @property
    def notice(self) -> StopNotice:
        rule = self.rule
        until = rule.until or Wording("", "")
        return StopNotice(
            rule.id,
            rule.title,
            rule.hazard,
            rule.say,
            until,
            rule.call,
            self.because,
            self.level,
            self.sure,
            self.words,
        )

    def leaves(self, action: Action) -> bool:
        """Whether an action that is nobody's order may be done while this danger stands."""
        rule = self.rule
        # The one who is called does the work that the danger forbids everybody else.
        if rule.call != "none" and action.job == rule.call and action.kind in _TRADES_WORK:
            return True
        if action.moves & rule.forbids_moves or action.touches & rule.forbids:
            return False
        if self.level == "unfit":
            return True
        return action.under == "life" or (self.level == "harm" and action.under == "harm")


@dataclass(frozen=True, slots=True)
class Dangers:
    """All dangers of one case, the gravest first, the orders they give, and the words to be asked back.

    Args:
        given_way: actions of orders that one danger asks for and another rules out.
        emergency: what to dial where the pool stands, as it is said.
    """

    standing: tuple[Danger, ...]
    orders: tuple[Order, ...]
    asked_back: tuple[AskedBack, ...] = ()
    given_way: frozenset[str] = frozenset()
    emergency: str = ""

    @property
    def notices(self) -> tuple[StopNotice, ...]:
        return tuple(each.notice for each in self.standing)

    @property
    def order_lines(self) -> tuple[OrderLine, ...]:
        return tuple(
            OrderLine(order.id, order.title, self._dialled(order.say), order.action, order.rescue)
            for order in self.orders
        )

    def _dialled(self, say: Wording) -> Wording:
        return Wording(*(text.replace(EMERGENCY_NUMBER, self.emergency) for text in (say.owner, say.support)))

    @property
    def grave(self) -> bool:
        """A danger to life or of harm stands: it outranks and hides what it forbids."""
        return bool(self.grave_ids)

    @property
    def grave_ids(self) -> frozenset[str]:
        """Stop rules of the dangers to life or of harm that stand."""
        return frozenset(each.rule.id for each in self.standing if each.level != "unfit")

    def stands(self, safe: Collection[str]) -> bool:
        """A grave one stands whose orders are not known to be carried out. Args: safe: stop rules of which they are."""
        return not self.grave_ids <= set(safe)

    def tells_of(self, symptom: str, knowledge: Knowledge) -> bool:
        """Whether a danger of the kind that this symptom would raise stands already."""
        kinds = {
            rule.hazard
            for rule in knowledge.safety.values()
            if rule.when is not None and symptom in rule.when.references().symptoms
        }
        return any(each.rule.hazard in kinds for each in self.standing)

    @property
    def somebody_is_called(self) -> bool:
        """Nobody is sent to the plant or the water before the one who is called has been."""
        return any(each.rule.call != "none" for each in self.standing)

    def ordered_actions(self, actions: Mapping[str, Action]) -> tuple[Action, ...]:
        """The actions that say how to follow the orders, in their order; without those that another danger forbids."""
        found: dict[str, Action] = {}
        for order in self.orders:
            action = actions.get(order.action)
            others = [each.rule for each in self.standing if order.id not in each.rule.demands]
            if action is not None and not any(action.touches & rule.forbids for rule in others):
                found[action.id] = action
        return tuple(found.values())

    def leaves(self, action: Action) -> bool:
        """Whether all dangers leave the action allowed, and no order that it belongs to had to give way."""
        return action.id not in self.given_way and all(each.leaves(action) for each in self.standing)

    def and_likely(self, chances: Mapping[str, float], knowledge: Knowledge) -> "Dangers":
        """With the stop rules that cover a likely cause. Args: chances: cause -> probability."""
        likely = [knowledge.causes[cause] for cause, chance in chances.items() if chance >= COVERED]
        covered: dict[str, list[str]] = {}
        for cause in likely:
            if cause.covered_by in knowledge.safety:
                covered.setdefault(cause.covered_by, []).append(f"{cause.title} is likely")
        if not covered:
            return self
        standing = {each.rule.id: each for each in self.standing}
        for stop, because in covered.items():
            rule, known = knowledge.safety[stop], standing.get(stop)
            if known is None:
                standing[stop] = Danger(rule, rule.level, tuple(because), "inferred")
            else:
                reasons = (*known.because, *because)
                standing[stop] = Danger(known.rule, known.level, reasons, known.sure, known.words)
        return replace(dangers_of(standing.values(), knowledge, self.asked_back), emergency=self.emergency)


def dangers_of(standing: Iterable[Danger], knowledge: Knowledge, asked_back: Iterable[AskedBack] = ()) -> Dangers:
    """Dangers in order: by level, then by how soon they hurt, then the told before the heard and the inferred."""
    ordered = tuple(
        sorted(
            standing,
            key=lambda each: (
                LEVELS.index(each.level),
                _WITHIN.index(each.rule.within),
                _SURE.index(each.sure),
                each.rule.id,
            ),
        )
    )
    orders = combined_orders((each.rule for each in ordered), knowledge.orders)
    asked_for = {knowledge.orders[order].action for each in ordered for order in each.rule.demands}
    given_way = frozenset(asked_for - {order.action for order in orders})
    return Dangers(ordered, orders, tuple(asked_back), given_way)
