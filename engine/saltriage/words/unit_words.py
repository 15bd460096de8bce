"""How callers write units. Data only; every unit is one of `pool.units`; a word of two meanings names both."""

import re

__all__ = ["BILLIONTHS", "COUNTED", "DIGITS", "NUMBER_WORDS", "UNIT_WORDS", "WRITTEN"]

# A part in a thousand million is no unit of ours: said of a water test, it is a thousandth of a ppm.
BILLIONTHS = re.compile(
    r"[ -]?(?:ppb\b|parts per billion\b|(?:ug|µg|μg|mcg|micrograms?) ?(?:/|per|a) ?l(?:it(?:er|re))?\b)", re.I
)

# (pattern, quantity, units that it may be; one: it is that unit)
UNIT_WORDS: tuple[tuple[re.Pattern[str], str, tuple[str, ...]], ...] = tuple(
    (re.compile(pattern, re.IGNORECASE), quantity, units)
    for pattern, quantity, units in (
        (r"ppm\b|parts per million\b", "concentration", ("ppm",)),
        (r"mg\s?(?:/|per)\s?(?:l|lit(?:er|re))\b|milligrams? (?:per|a) lit(?:er|re)\b", "concentration", ("mg/L",)),
        (r"g\s?(?:/|per)\s?(?:l|lit(?:er|re))\b|grams? (?:per|a) lit(?:er|re)\b", "concentration", ("g/L",)),
        (r"(?:u\.?s\.?|american) ?gal(?:lon)?s?\b", "volume", ("US gal",)),
        (r"(?:imp(?:erial)?|uk|british)\.? ?gal(?:lon)?s?\b", "volume", ("imp gal",)),
        (r"gal(?:lon)?s?\b", "volume", ("US gal", "imp gal")),
        (r"m3\b|m³|m\^3|cu(?:bic)?\.? ?m(?:et(?:er|re)s?)?\b|cubes\b|kilolit(?:er|re)s?\b", "volume", ("m3",)),
        (r"lit(?:er|re)s?\b|l\b", "volume", ("L",)),
        (r"(?:°|deg(?:rees?)?\.?)? ?(?:fahrenheit|f)\b", "temperature", ("degF",)),
        (r"(?:°|deg(?:rees?)?\.?)? ?(?:celsius|centigrade|c)\b", "temperature", ("degC",)),
        (r"°|deg(?:rees?)?\b", "temperature", ("degF", "degC")),
        (r"psi\b|pounds? per square inch\b", "pressure", ("psi",)),
        (r"bars?\b", "pressure", ("bar",)),
        (r"kpa\b", "pressure", ("kPa",)),
        (r"mv\b|millivolts?\b", "voltage", ("mV",)),
        (r"v\b|volts?\b", "voltage", ("V",)),
        (r"ma\b|milliamps?\b", "current", ("mA",)),
        (r"(?-i:A)\b(?! (?:day|week|month|year))|(?<=\d)a\b|amps?\b|amperes?\b", "current", ("A",)),
        (r"%|per ?cent\b|pct\b", "percent", ("%",)),
        (r"g\s?(?:/|per|an)\s?(?:h|hr|hour)\b|gram(?:me)?s? (?:per|an|a) hour\b", "rate-mass-per-time", ("g/h",)),
        (r"(?:lb|lbs|pounds?) ?(?:/|per|a) ?day\b", "rate-mass-per-time", ("lb/day",)),
        (r"(?:h|hrs?|hours?)(?: ?(?:/|per|a|each|every) ?d(?:ay)?\b| daily| each day)?\b", "duration", ("h",)),
        (r"min(?:ute)?s?\b", "duration", ("min",)),
        (r"days?\b", "duration", ("days",)),
        (r"w(?:ee)?ks?\b", "duration", ("weeks",)),
        (r"mo(?:nth)?s?\b", "duration", ("months",)),
        (r"y(?:ea)?rs?\b", "duration", ("years",)),
        (r"inch(?:es)?\b|\"|″", "length", ("in",)),
        (r"cm\b|centimet(?:er|re)s?\b", "length", ("cm",)),
        (r"mm\b|millimet(?:er|re)s?\b", "length", ("mm",)),
    )
)

NUMBER_WORDS = {
    "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "eleven": 11, "twelve": 12, "fifteen": 15, "eighteen": 18, "twenty": 20, "thirty": 30, "forty": 40,
    "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90, "hundred": 100,
}  # fmt: skip
DIGITS = r"-?(?:[0-9]{1,3}(?:,[0-9]{3})+|[0-9]+)(?:\.[0-9]+)?|\.[0-9]+"
WRITTEN = "|".join(sorted(NUMBER_WORDS, key=len, reverse=True))
# After a number without a unit: things counted, so the number measures nothing.
COUNTED = re.compile(
    r"(?:bags?|times?|jugs?|bottles?|plates?|pucks?|tabs?|tablets?|pounds?|lbs?|kilos?|kgs?|gallons?|people|kids|jets|"
    r"returns|o'?clock|am|pm|st|nd|rd|th|speed|way|of|or|in(?! the\b| my\b| our\b)|by(?! (?:strip|drop|test|the|my))|"
    r"inches|feet|foot|ft|pumps?|pools?|cells?|x|metres?|"
    r"meters?|m|guests|swimmers)\b",
    re.IGNORECASE,
)
