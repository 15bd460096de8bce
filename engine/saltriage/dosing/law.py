"""The limits of the rules as they hold for one pool: how much at once, where never, by whom, in which order."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from saltriage.believe.limit_aims import Aim, aim_end, aim_within, holds
from saltriage.conditions import Facts
from saltriage.knowledge.limit_rule import DoseLimit
from saltriage.knowledge.model import Knowledge
from saltriage.pool.units import to_canonical
from saltriage.pool.water import Product
from saltriage.result import Wording

__all__ = ["ANY", "DoseLaw", "StepLaw"]

ANY = "any"  # a limit that holds for whatever is added
_RESTRAINING = ("never", "step")
OWNER, TECHNICIAN, OPERATOR = "owner", "pool-technician", "pool-operator"
HANDS = (OWNER, TECHNICIAN, OPERATOR)  # the last that holds doses


@dataclass(frozen=True, slots=True)
class StepLaw:
    """What one step of one chemical may be, from all limits that hold; of each number the strictest.

    Args:
        order: place in the plan.    most: reading -> (most change in a step, id of the limit).
        share: most of the whole, with the limit; None: no cap.    at_once, in_all: in the unit of the product.
        keeps: reading -> (least, most) that no step takes it past.
        least: (reading, change) below which a step is not worth it.    most_steps: None: no cap.
        wait_h: least time to the test.    test: readings.    apart: other chemical -> hours.
        hands: who doses.    limits: ids of all of them.    how, say: words.    safety: notes.
    """

    order: int
    most: Mapping[str, tuple[float, str]]
    share: tuple[float, str] | None
    at_once: tuple[float, str] | None
    in_all: tuple[float, str] | None
    keeps: Mapping[str, tuple[float | None, float | None]]
    least: tuple[str, float] | None
    most_steps: tuple[float, str] | None
    wait_h: float
    test: tuple[str, ...]
    apart: Mapping[str, float]
    hands: str
    hands_by: str
    limits: tuple[str, ...]
    how: Wording | None
    safety: tuple[str, ...]
    say: tuple[Wording, ...]


class DoseLaw:
    """Every limit that holds for one pool.

    Args:
        facts: with the readings as doses see them, symptoms derived, contexts.
        told: the same with readings told as a limit: they may forbid and restrain a dose, and never set an amount.
        habits: what no limit says.
    """

    def __init__(self, knowledge: Knowledge, facts: Facts, told: Facts) -> None:
        self.limits = tuple(
            limit
            for limit in knowledge.limits.values()
            if holds(limit, facts) or (limit.kind in _RESTRAINING and holds(limit, told))
        )
        self.facts = facts
        self.habits = knowledge.dosing

    def step(self, chemical: str, product: Product | None = None, purpose: str = "") -> StepLaw | None:
        """What one step may be; None where no limit knows the chemical: then there is no dose."""
        own = [limit for limit in self._of("step", chemical, product, purpose) if limit.chemical == chemical]
        found = list(self._of("step", chemical, product, purpose))
        if not own:
            return None
        kind = "solid" if product is None or product.unit == "g" else "liquid"
        waits = [_hours(limit) for limit in found if "wait" in limit.numbers]
        hands = max((limit for limit in found if limit.hands), key=lambda limit: HANDS.index(limit.hands), default=None)
        least = next(
            ((limit.least_of, limit.numbers["least"].value) for limit in own if "least" in limit.numbers), None
        )
        apart: dict[str, float] = {}
        for limit in found:
            for other, told in limit.apart.items():
                apart[other] = max(apart.get(other, 0.0), to_canonical(told.value, told.unit, "duration"))
        return StepLaw(
            order=max((limit.order for limit in found), default=0),
            most=_strictest_changes(found),
            share=_strictest(found, "share"),
            at_once=_in_unit(_strictest(found, f"at-once-{kind}"), product),
            in_all=_in_unit(_strictest(found, f"in-all-{kind}"), product),
            keeps={
                limit.keeps: (limit.number("keeps-low"), limit.number("keeps-high")) for limit in own if limit.keeps
            },
            least=least,
            most_steps=_strictest(found, "most-steps"),
            wait_h=max(waits, default=0.0),
            test=tuple(dict.fromkeys(each for limit in own for each in limit.test)),
            apart=apart,
            hands=hands.hands if hands else OWNER,
            hands_by=hands.id if hands else "",
            limits=tuple(limit.id for limit in found),
            how=next((limit.how for limit in sorted(own, key=_special, reverse=True) if limit.how), None),
            safety=tuple(dict.fromkeys(note for limit in found for note in limit.safety)),
            say=tuple(limit.say for limit in found),
        )

    def never(self, chemical: str, product: Product | None = None, purpose: str = "") -> DoseLimit | None:
        """The limit that forbids it altogether; None where none does.

        Args: product: None asks for limits that hold whatever the product.
        """
        found = self._of("never", chemical, product, purpose)
        return next((limit for limit in found if bool(limit.products) == (product is not None)), None)

    def _of(self, kind: str, chemical: str, product: Product | None, purpose: str) -> Iterable[DoseLimit]:
        name = "" if product is None else product.name.replace("_", "-")
        return [
            limit
            for limit in self.limits
            if limit.kind == kind
            and limit.chemical in (chemical, ANY)
            and (not limit.products or name in limit.products)
            and (not limit.purpose or limit.purpose == purpose)
        ]

    def taken(self, reading: str) -> DoseLimit | None:
        """What is taken for a reading that nobody tested."""
        return next((limit for limit in self.limits if limit.kind == "taken" and limit.reading == reading), None)

    def aim(self, reading: str, wished: Aim, purpose: str = "") -> Aim:
        """A target range, moved by the limits that hold for a purpose."""
        return aim_within((limit for limit in self.limits if limit.purpose == purpose), reading, wished, self.facts)

    def goal(self, reading: str) -> Aim | None:
        """The range that a reading is raised into, where that is not the middle of its target range."""
        found = [
            limit for limit in self.limits if (limit.kind, limit.reading, limit.purpose) == ("aim", reading, "top-up")
        ]
        return Aim(aim_end(found[0], "low", self.facts), aim_end(found[0], "high", self.facts)) if found else None

    def purposes(self) -> tuple[str, ...]:
        """Purposes for which some aim holds: what chlorine is wanted for, beside being there."""
        return tuple(dict.fromkeys(limit.purpose for limit in self.limits if limit.kind == "aim" and limit.purpose))


def _special(limit: DoseLimit) -> tuple[bool, bool, bool]:
    return bool(limit.products), bool(limit.purpose), limit.when is not None


def _strictest(limits: Iterable[DoseLimit], key: str) -> tuple[float, str] | None:
    found = [(limit.numbers[key].value, limit.id) for limit in limits if key in limit.numbers]
    return min(found, default=None)


def _strictest_changes(limits: Iterable[DoseLimit]) -> dict[str, tuple[float, str]]:
    found: dict[str, tuple[float, str]] = {}
    for limit in limits:
        if limit.change_of:
            told = (limit.numbers["change"].value, limit.id)
            found[limit.change_of] = min(told, found.get(limit.change_of, told))
    return found


def _in_unit(told: tuple[float, str] | None, product: Product | None) -> tuple[float, str] | None:
    """Litres of a liquid in the millilitres of its product."""
    if told is None or product is None or product.unit != "mL":
        return told
    return 1000.0 * told[0], told[1]


def _hours(limit: DoseLimit) -> float:
    number = limit.numbers["wait"]
    return to_canonical(number.value, number.unit, "duration")
