"""A year of invented calls of an invented village, made at once, with what came of them; for figures and pictures."""

import random
import uuid
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

from saltriage.desk.call import AdvisedLine, Call, CallDiagnosis, CallOutcome, CauseLine, NamedId, Person
from saltriage.desk.times import moment

__all__ = ["year_of_calls"]

# Invented shares of the causes in an invented village.
CAUSES = (
    ("salt-diluted-by-rain", "Rain has thinned the salt", 6), ("cell-scaled", "Lime has built up in the cell", 9),
    ("cold-water", "Cold water fools the box", 5), ("too-little-stabiliser", "Too little stabiliser", 7),
    ("air-in-system", "Air left after cleaning", 4), ("cell-worn-out", "The cell is worn out", 4),
    ("timer-off", "The timer is half a day out", 2), ("green-growth", "Green growth", 4), ("leak", "A leak", 2),
    ("fouled-sensor", "The flow sensor is fouled", 2),
)  # fmt: skip
ACTIONS = (("add-salt", "Add salt"), ("clean-cell", "Clean the cell"), ("test-again", "Test with a separate kit"))
UNHEARD = ("funny hum", "the red one blinks twice", "it feels sandy", "clicking at night", "a skin in the morning")
NAMES = ("Odo Brandt", "Marta Ilves", "Sunniva Dahl", "Tomas Rell", "Iva Korpan", "Joren Pauk", "Hedda Quist")


def year_of_calls(count: int, seed: int, days: int = 90) -> Iterator[Call]:
    """Calls of the last days, the oldest first; the same for the same seed but for their days."""
    chance = random.Random(seed)
    begin = datetime.now(UTC) - timedelta(days=days)
    for number in range(count):
        at = moment(begin + timedelta(days=days * (number + 0.5) / count))
        named = chance.choices(CAUSES, [each[2] for each in CAUSES], k=3)
        said = round(min(0.99, max(0.05, chance.gauss(0.72, 0.2))), 3)
        lines = {named[0][0]: CauseLine(named[0][0], named[0][1], said)}
        for cause, title, _ in named[1:]:
            lines.setdefault(cause, CauseLine(cause, title, round((1 - said) * chance.uniform(0.2, 0.6), 3)))
        action = chance.choice(ACTIONS)
        is_right = chance.random() < said - 0.05
        other = chance.choice([each for each in CAUSES if each[0] != named[0][0]])
        was = NamedId(*named[0][:2]) if is_right else NamedId(*other[:2])
        helped = chance.random() < 0.8
        end = CallOutcome(
            (was,) if chance.random() < 0.8 else (), "test", at[:10], "lee",
            (NamedId(*action),) if helped and chance.random() < 0.6 else (), () if helped else (NamedId(*action),),
        )  # fmt: skip
        yield Call(
            uid=str(uuid.UUID(int=chance.getrandbits(128), version=4)),
            taken=at,
            by="kim",
            case={"case": f"call-{number}", "said": "Invented.", "symptoms": {"low-salt-warning": "yes"}},
            questions=chance.randint(1, 8),
            minutes=round(chance.uniform(2, 14), 1),
            person=Person(chance.choice(NAMES), f"0171 555 {chance.randint(0, 400):04}", "Lindenwyk (invented)"),
            findings=(CallDiagnosis(at, "f00d", "1.0.0", "cause", tuple(lines.values()), (AdvisedLine(*action),)),),
            unheard=(chance.choice(UNHEARD),) if chance.random() < 0.2 else (),
            outcome=end if chance.random() < 0.7 else None,
        )
