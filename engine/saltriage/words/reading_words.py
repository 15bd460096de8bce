"""How callers name what they measured, beside the phrases in rules/readings. Data; common practice, no source."""

import re
from collections.abc import Mapping

__all__ = [
    "BY_UNIT", "DAWN", "DUSK", "MAINS_FROM", "METHOD_WORDS", "NEEDS_TOLD", "NOT_ASKED", "READING_WORDS", "SAID",
    "SALTY", "TESTED_OR_SHOWN", "WITHOUT_UNIT", "is_about_display",
]  # fmt: skip


def _word(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{pattern})\b", re.IGNORECASE)


_STABILISER = r"stabili[sz]er|cyanuric(?: acid)?|conditioner"
_FILL = r"(?:tap|fill|well|hose|mains|source)(?: water)?"
# Among several that fit, the nearest to the number wins, the longer name among near ones.
READING_WORDS: tuple[tuple[str, re.Pattern[str]], ...] = tuple(
    (reading, _word(pattern))
    for reading, pattern in (
        ("ph", r"p\.?h\.?(?: level)?|acidity"),
        ("salt", r"(?:pool )?(?:salt|salinity|slat)(?: (?:level|test|reading|strip|content|concentration))*"),
        ("salt-shown", r"(?:box|display|unit|screen|chlorinator|controller|panel|salt system)[^,.;]{0,20}\bsalt|"
                       r"salt (?:on|at) the (?:box|display|unit|screen|panel|chlorinator)|displayed salt"),
        ("salt-earlier", r"salt (?:last (?:month|year|season)|before|earlier)"),
        ("fill-salt", rf"(?:{_FILL}) salt|salt (?:in|of) the (?:{_FILL})"),
        ("free-chlorine", r"fre?e chlorine|free cl|free available chlorine|chlorine(?: level| reading| test)?|free"),
        ("total-chlorine", r"total chlorine|total cl|chlorine total|total(?! (?:alk|hard|diss|pool|volume))"),
        ("combined-chlorine", r"combined(?: chlorine)?|chloramines?"),
        ("free-chlorine-at-return", r"chlorine at the (?:jets?|returns?|inlet)|(?:jet|return) chlorine"),
        ("free-chlorine-dusk", r"(?:free )?chlorine (?:at dusk|in the evening|last night|at sunset)"),
        ("free-chlorine-dawn", r"(?:free )?chlorine (?:at dawn|in the morning|this morning|at sunrise)"),
        ("total-alkalinity", r"(?:total )?alkalinity|alk|t\.? alkalinity"),
        ("calcium-hardness", r"calcium(?: hardness)?|hardness"),
        ("total-hardness", r"total hardness"),
        ("fill-calcium-hardness", rf"(?:{_FILL}) (?:calcium )?hardness|hardness of the (?:{_FILL})"),
        ("fill-total-alkalinity", rf"(?:{_FILL}) alkalinity|alkalinity of the (?:{_FILL})"),
        ("cyanuric-acid", _STABILISER),
        ("cyanuric-acid-earlier", rf"(?:{_STABILISER}) (?:was )?(?:last (?:autumn|fall|year|season))"),
        ("water-temperature", r"thermometer|water(?: temp(?:erature)?)?|pool(?: temp(?:erature)?)?|temp(?:erature)?"),
        ("water-temperature-shown", r"(?:box|display|unit|screen)[^,.;]{0,20}\b(?:temp(?:erature)?|water)|"
                                    r"temp(?:erature)? on the (?:box|display|unit|screen)"),
        ("cold-limit", r"cold limit|stops (?:working )?below|cut ?out temperature"),
        ("filter-pressure", r"(?:filter |the )?(?:pressure|gauge)(?: gauge| reading)?|filter"),
        ("pressure-pump-off", r"(?:pressure|gauge)[^,.;]{0,20}pump (?:is )?off|"
            r"pump (?:is )?off[^,.;]{0,20}(?:pressure|gauge)"),
        ("clean-filter-pressure", r"clean (?:filter )?pressure|clean filter|"
                                  r"after (?:a |the )?(?:clean(?:ing)?|(?:back)?wash(?:ing)?|"
                                  r"rins(?:e|ing)|hosing)|"
                                  r"(?:normal|usual)(?:ly)?(?: filter)? pressure|normal(?:ly)?|usual(?:ly)?|"
                                  r"when clean|clean"),
        ("pool-volume", r"pool|volume|holds"),
        ("cell-age", r"cell(?: is)?(?: age)?"),
        ("surface-age", r"plaster(?:ed)?|replastered|surface"),
        ("cell-hours", r"cell hours|hour counter|run hours|hours on the cell"),
        ("hours-per-day", r"runs?|running|run ?time|pump|chlorinator|on for"),
        ("output-setting", r"output|chlorine setting|set(?:ting)?(?: (?:to|at|on))?|percentage|maxed|"
            r"turned (?:up|down)(?: to)?|production"),
        ("cell-current", r"cell current|current|amps?|amperage|cell|drawing|draws"),
        ("rated-current", r"(?:rated|normal|usual) (?:cell )?(?:current|amps?)|rated(?: at| for)?"),
        ("cell-current-reversed", r"polarity (?:b|2|two)|(?:other|reverse|opposite) (?:direction|way|polarity)|"
                                  r"reversed"),
        ("bucket-loss-per-day", r"bucket"),
        ("fill-iron", rf"(?:{_FILL}) iron|iron (?:in|of) the (?:{_FILL})"),
        ("rated-supply-voltage", r"(?:box|unit|transformer|controller) (?:is )?rated(?: at| for)?"),
        ("cell-voltage", r"cell voltage|voltage|volts?|cell"),
        ("rated-voltage", r"(?:rated|normal|usual) (?:cell )?(?:voltage|volts?)|rated(?: at| for)?"),
        ("supply-voltage", r"supply(?: voltage)?|mains(?: voltage)?|outlet|incoming"),
        ("rated-output", r"rated|makes?|output|produces?|rating"),
        ("redox-potential", r"redox(?: potential)?|o\.?r\.?p\.?"),
        ("phosphate", r"phosphates?"),
        ("nitrate", r"nitrates?"),
        ("copper", r"copper"),
        ("iron", r"iron"),
        ("manganese", r"manganese"),
        ("ammonia", r"ammonia"),
        ("borate", r"borates?|boron"),
        ("dissolved-solids", r"(?:total )?dissolved solids|tds"),
        ("turbidity", r"turbidity"),
        ("salt-band-low", r"(?:lowest|minimum) salt|salt (?:minimum|low limit)"),
        ("salt-band-high", r"(?:highest|maximum) salt|salt (?:maximum|high limit)"),
        ("pool-loss-per-day", r"los(?:es?|ing)|drops?|water loss|level|pool|(?:goes|going|went) down"),
    )
)  # fmt: skip

# Without a unit these names are told of many things: of theirs only after one of these words.
NEEDS_TOLD: Mapping[str, re.Pattern[str]] = {
    "clean-filter-pressure": _word(r"pressure|gauge|psi|bar|kpa"),
    "water-temperature": _word(r"temp\w*|thermometer|degrees?|cold|warm|hot|heat\w*"),
    "rated-current": re.compile(r"\b(?:amps?|current|drawing|draws)\b|\d\s?A\b", re.IGNORECASE),
}
# A cell runs on tens of volts, the mains on more than 80 (common practice).
MAINS_FROM = 80.0
# Computed from others: its name must not be taken for theirs, and it is never entered.
NOT_ASKED = frozenset({"combined-chlorine"})
_HOUR = r"\W*(?:ppm|mg/l)?\W*(?:(?:at|in|by|the|this|last|next|late|early|on|of|before)\W+)*"
DUSK = re.compile(rf"{_HOUR}(?:dusk|sunset|sundown|evening|night|bedtime)\b", re.IGNORECASE)
DAWN = re.compile(rf"{_HOUR}(?:dawn|sunrise|sunup|morning)\b", re.IGNORECASE)

# Without a unit: between which numbers a reading is believed to be meant. Outside, it is another thing.
WITHOUT_UNIT: Mapping[str, tuple[float, float]] = {
    "ph": (3.0, 11.0), "salt": (200.0, 40000.0), "salt-shown": (200.0, 40000.0), "free-chlorine": (0.0, 30.0),
    "combined-chlorine": (0.0, 30.0),
    "total-chlorine": (0.0, 30.0), "total-alkalinity": (10.0, 500.0), "calcium-hardness": (10.0, 1500.0),
    "total-hardness": (10.0, 1500.0), "cyanuric-acid": (0.0, 400.0), "filter-pressure": (0.1, 60.0),
    "phosphate": (0.0, 50.0), "copper": (0.0, 5.0), "iron": (0.0, 5.0), "water-temperature": (0.0, 110.0),
    "redox-potential": (300.0, 1000.0), "dissolved-solids": (200.0, 60000.0), "turbidity": (0.0, 1000.0),
    "output-setting": (0.0, 100.0), "free-chlorine-dusk": (0.0, 30.0), "free-chlorine-dawn": (0.0, 30.0),
    "free-chlorine-at-return": (0.0, 100.0), "cyanuric-acid-earlier": (0.0, 400.0), "borate": (0.0, 200.0),
    "clean-filter-pressure": (0.1, 60.0), "rated-current": (0.5, 30.0), "cell-hours": (200.0, 40000.0),
    "fill-iron": (0.0, 5.0),
    "cell-current": (0.0, 30.0), "cell-voltage": (0.0, 60.0),
    "pool-volume": (1000.0, 500000.0), "nitrate": (0.0, 500.0), "salt-earlier": (200.0, 40000.0),
    "fill-calcium-hardness": (5.0, 1500.0), "fill-total-alkalinity": (5.0, 600.0), "fill-salt": (1.0, 5000.0),
}  # fmt: skip

# Where no name stands near: the unit alone, or with a word anywhere in the statement.
_ANY = re.compile("")
BY_UNIT: tuple[tuple[str, re.Pattern[str], str], ...] = (
    (
        "volume",
        re.compile(r"^(?!.*\b(?:bleach|acid|chlorine|jug|bottle|add|added|poured|put|bucket|milk)\b)", re.I),
        "pool-volume",
    ),
    (
        "temperature",
        re.compile(r"^(?!.*\b(?:air|out|outside|weather|forecast|every day)\b)", re.I),
        "water-temperature",
    ),
    ("pressure", _ANY, "filter-pressure"),
    ("rate-mass-per-time", _ANY, "rated-output"),
    ("current", _ANY, "cell-current"),
    ("voltage", _ANY, "cell-voltage"),
    (
        "percent",
        re.compile(
            r"^(?!.*\b(?:humidity|covered|sure|full|discount|strength|bleach)\b).*\b(?:run|runs|running|set|"
            r"have it|have mine|got it|turned|cranked|bumped|it is at|it's at|dialed)\b|^.*\bat\s+#",
            re.I,
        ),
        "output-setting",
    ),
)

# The display names what it shows; said of a salt or a temperature, it is the shown one.
_DISPLAY = _word(
    r"box|display|displays|screen|unit|controller|chlorinator|panel|readout|salt system|salt box|generator"
)
_OTHER_TEST = _word(r"strips?|test(?:ed|s)?|kit|drops?|shop|store|lab|meter|dealer|measured")
_SHOWN = {"salt": "salt-shown", "water-temperature": "water-temperature-shown"}


def is_about_display(reading: str, statement: str, rules: Mapping[str, object]) -> str:
    """The reading, or its twin on the display where the statement speaks of the box and of no test."""
    shown = _SHOWN.get(reading)
    if shown is None or shown not in rules or _OTHER_TEST.search(statement) or not _DISPLAY.search(statement):
        return reading
    return shown


METHOD_WORDS: tuple[tuple[re.Pattern[str], str], ...] = (
    (_word(r"strips?|dip"), "test-strip"),
    (_word(r"shop|store|dealer|lab|pool place"), "shop-test"),
    (_word(r"drops?|drop test|titration"), "drop-test"),
    (_word(r"photometer"), "photometer"),
    (_word(r"photometer"), "dpd-photometer"),
    (_word(r"ph meter|pen"), "ph-meter"),
    (_word(r"conductivity meter|salt meter"), "conductivity-meter"),
)

# Nothing else in a salt pool is told in thousands of ppm without its name (common practice).
SALTY = (1500.0, 8000.0)
SAID = re.compile(
    r"\b(?:says?|said|tested(?: at)?|got|gets?|measured|reads?|shows?|showing|reading|is|at|"
    r"steady(?: at)?|strips?|drops|kit|shop|store|dealer|panel|display|box|unit)[:\s]*"
    r"(?:about|around|like)?\s*$",
    re.IGNORECASE,
)
TESTED_OR_SHOWN = re.compile(f"{_DISPLAY.pattern}|{_OTHER_TEST.pattern}", re.IGNORECASE)
