"""A simulated pool: the truth that a follow-up must find out through tests that are off."""

import random
from dataclasses import dataclass, field
from datetime import date, timedelta

from saltriage.case import Case
from saltriage.follow_up import FollowUp, Record, follow_up, opened
from saltriage.knowledge.model import Knowledge

__all__ = ["SimulatedPool"]

BAND = {"low": "2700 mg/L", "high": "3400 mg/L"}


@dataclass
class SimulatedPool:
    """A pool with its own volume, salt and sensor; `seed` decides what its tests are off by.

    Args:
        true_l, stated_l: litres.    salt: true, mg/L.    shown_share, shown_stuck: what the box makes of the salt.
        kit_error: standard deviation of the salt test, mg/L.    makes: whether the cell makes chlorine.
    """

    knowledge: Knowledge
    true_l: float
    stated_l: float
    salt: float
    kit_error: float = 30.0
    method: str = "conductivity-meter"
    shown_share: float = 1.0
    shown_stuck: float | None = None
    warns_below: float = 2700.0
    makes: bool = True
    seed: int = 1
    record: Record | None = None
    day: date = date(2027, 5, 3)
    _random: random.Random = field(init=False)

    def __post_init__(self) -> None:
        self._random = random.Random(self.seed)

    @property
    def shown(self) -> float:
        return self.shown_stuck if self.shown_stuck is not None else self.salt * self.shown_share

    def tested(self) -> dict[str, object]:
        off = self._random.gauss(0.0, self.kit_error)
        return {"value": round(self.salt + off), "unit": "mg/L", "method": self.method}

    def readings(self) -> dict[str, object]:
        """What the owner measures and reads off."""
        rise = 1.2 if self.makes else 0.0
        return {
            "salt": self.tested(),
            "salt-shown": f"{self.shown:.0f} mg/L",
            "water-temperature": "26 degC",
            "free-chlorine": "3 mg/L",
            "free-chlorine-at-return": f"{3 + rise:.1f} mg/L",
        }

    def answers(self) -> dict[str, object]:
        return {"low-salt-warning": "yes" if self.shown < self.warns_below else "no"}

    def call(self, readings: dict[str, object] | None = None, **more: object) -> Record:
        """The first call, kept in a record. Args: readings: told instead of measured.    more: answers."""
        case = Case.from_data(
            {
                "case": "simulated",
                "symptoms": {**self.answers(), **more},
                "readings": {**self.readings(), **(readings or {})},
                "pool": {"volume": f"{self.stated_l / 1000:g} m3", "setting": "outdoor", "surface": "vinyl"},
                "equipment": {"salt-band": BAND},
            },
            self.knowledge,
        )
        self.record, self.first = opened(case, self.knowledge, self.day.isoformat())
        return self.record

    def advised_salt_g(self) -> float:
        """The part of the salt dose to give now; 0 where none is advised."""
        assert self.record is not None
        return next((each.dose for each in self.record.entries[-1].promises if each.action == "add-salt"), 0.0)

    def pour(self, grams: float) -> None:
        """Salt into the true volume, 99 % of it salt as the bag says; two days pass."""
        self.salt += grams * 0.99 * 1000 / self.true_l
        self.day += timedelta(days=2)

    def follow(self, grams: float, **answers: object) -> FollowUp:
        """A follow-up after pouring."""
        assert self.record is not None
        did = {"add-salt": f"{grams / 1000:.3f} kg"} if grams else None
        result = follow_up(
            self.record,
            self.knowledge,
            readings=self.readings(),
            symptoms={**self.answers(), **answers},
            did=did,
            when=self.day.isoformat(),
        )
        self.record = result.record
        return result
