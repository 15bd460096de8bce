"""Words that reports share: for people, for jobs, for waiting times, for percentages."""

import re

__all__ = [
    "CALL",
    "FOOT",
    "JOB",
    "LEVEL",
    "effort",
    "first_sentence",
    "inner",
    "percent",
    "waiting",
]

FOOT = "Advice from rules, no promise: the unit's instructions, local codes and licensed trades come first."

LEVEL = {"life": "DANGER TO LIFE", "harm": "STOP", "unfit": "KEEP OUT OF THE WATER"}

JOB = {
    "owner": "you can do this",
    "pool-technician": "pool technician",
    "pool-operator": "the operator of the pool",
    "licensed-electrician": "licensed electrician",
    "plumber": "plumber or leak specialist",
    "makers-service": "the maker's service",
}

CALL = {
    "none": "",
    "emergency-services": "Call the emergency services.",
    "licensed-electrician": "Call a licensed electrician.",
    "pool-technician": "Call a pool technician.",
    "makers-service": "Call the maker's service.",
    "health-agency": "Ask your local health agency.",
    "plumber": "Call a plumber or leak specialist.",
}


def percent(probability: float) -> str:
    """A probability as a whole percentage that never claims 0 or 100.

    >>> percent(0.9999), percent(0.0001), percent(0.5)
    ('over 99 %', 'under 1 %', '50 %')
    """
    if probability > 0.99:
        return "over 99 %"
    if probability < 0.01:
        return "under 1 %"
    return f"{probability * 100:.0f} %"


def waiting(hours: float) -> str:
    """A waiting time in the unit people use.

    >>> waiting(0.5), waiting(1), waiting(24), waiting(168)
    ('30 minutes', '1 hour', '24 hours', '7 days')
    """
    if hours < 1:
        return f"{hours * 60:.0f} minutes"
    if hours <= 48:
        return f"{hours:g} hour" + ("" if hours == 1 else "s")
    return f"{hours / 24:.3g} days"


def effort(minutes: float) -> str:
    """What it takes. Args: minutes: 0 or more.

    >>> effort(0.5), effort(12)
    ('at once', 'about 12 min')
    """
    return f"about {minutes:.0f} min" if minutes >= 1 else "at once"


def first_sentence(text: str) -> str:
    """Up to the first full stop that another sentence follows.

    >>> first_sentence("Less salt than 2.7 g/L. The cell starves.")
    'Less salt than 2.7 g/L.'
    """
    return re.split(r"(?<=[.!?]) (?=[A-Z])", text, maxsplit=1)[0]


def inner(title: str) -> str:
    """A title inside a sentence.

    >>> inner("Too little salt"), inner("pH too low"), inner("TDS meter")
    ('too little salt', 'pH too low', 'TDS meter')
    """
    return title if title[1:2].isupper() else title[:1].lower() + title[1:]
