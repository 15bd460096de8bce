"""Units: one meaning for every word, exact conversions, and refusals that say how to mend."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from saltriage.errors import QuantityRefused
from saltriage.pool.unit_table import CANONICAL, KINDS, NOT_TAKEN, TWO_MEANINGS, UNITS, Unit
from saltriage.pool.units import (
    System,
    convert,
    convert_difference,
    find_unit,
    from_canonical,
    parse_quantity,
    shortened,
    show,
    to_canonical,
)


@pytest.mark.parametrize(
    ("text", "quantity", "canonical"),
    [
        ("45 m3", "volume", 45000.0),
        ("45m³", "volume", 45000.0),
        ("45 000 L", "volume", 45000.0),
        ("45\u202f000 L", "volume", 45000.0),
        ("12,000 US gal", "volume", 45424.941408),
        ("12000 gal_us", "volume", 45424.941408),
        ("10,000 imp gal", "volume", 45460.9),
        ("128 US fl oz", "volume", 3.785411784),
        ("160 imp fl. oz.", "volume", 4.54609),
        ("84 °F", "temperature", 260 / 9),
        ("84 F", "temperature", 260 / 9),
        ("84ºF", "temperature", 260 / 9),
        ("−40 degF", "temperature", -40.0),
        ("26 C", "temperature", 26.0),
        ("299.15 K", "temperature", 26.0),
        ("0.5bar", "pressure", 50.0),
        (".5 bar", "pressure", 50.0),
        ("500 mbar", "pressure", 50.0),
        ("2,700 ppm", "concentration", 2700.0),
        ("2.7 g/L", "concentration", 2700.0),
        ("2.7 kg/m3", "concentration", 2700.0),
        ("650 ppb", "concentration", 0.65),
        ("300 µg/L", "concentration", 0.3),
        ("40 parts per billion", "concentration", 0.04),
        ("2700 milligrams per litre", "concentration", 2700.0),
        ("4 years", "duration", 35064.0),
        ("90 min", "duration", 1.5),
        ("2 weeks", "duration", 336.0),
        ("1 lb", "mass", 453.59237),
        ("16 OZ", "mass", 453.59237),
        ("60%", "percent", 60.0),
        ("240 g/day", "rate-mass-per-time", 10.0),
        ("3.2 mS/cm", "conductivity", 3200.0),
        ("3200 µS/cm", "conductivity", 3200.0),
        ("250 mA", "current", 0.25),
        ("12 in", "length", 0.3048),
        ("7.6", "ph", 7.6),
        ("pH 7.6", "ph", 7.6),
        ("7.6 pH", "ph", 7.6),
        ("-0.4", "none", -0.4),
        ("1e3 L", "volume", 1000.0),
    ],
)
def test_a_typed_quantity_is_read(text: str, quantity: str, canonical: float) -> None:
    """Ordinary ways to type a number and its unit give the canonical value."""
    assert canonical == parse_quantity(text, quantity).canonical


@pytest.mark.parametrize(
    ("text", "quantity", "words"),
    [
        ("12000 gal", "volume", "'gal' may be US gal or imp gal: write 'US gal' or 'imp gal'"),
        ("5 fl oz", "volume", "'fl oz' may be US fl oz or imp fl oz"),
        ("5 oz", "volume", "A fluid ounce is written 'US fl oz'"),
        ("12000 gal", "mass", "gal is a volume; a mass belongs here"),
        (
            "2700",
            "concentration",
            "found 2700 without a unit; expected a concentration in mg/L, ppm, g/L, kg/m3, ppb, ug/L",
        ),
        ("2700 pmm", "concentration", "Did you mean ppm?"),
        ("84 F", "concentration", "F is a temperature; a concentration belongs here"),
        ("1,5 bar", "pressure", "Write the decimals after a point, as in 1.5"),
        ("0,500 bar", "pressure", "Write the decimals after a point"),
        ("3.000 mg/L", "concentration", "Write 3000 or 3: a point may group thousands"),
        ("1.234.567 L", "volume", "Write one number"),
        ("2 3 L", "volume", "Write one number"),
        ("40-50 m3", "volume", "Write one number, not a range"),
        ("40 ± 5 m3", "volume", "Write one number, not a range"),
        ("about 45 m3", "volume", "Begin with the number"),
        ("< 0.5 mg/L", "concentration", "Begin with the number"),
        ("45\u200b m3", "volume", "signs that cannot be seen"),
        ("4\x00 m3", "volume", "signs that cannot be seen"),
        ("٣ mg/L", "concentration", "Begin with the number"),
        ("10² mg/L", "concentration", "the unknown unit '² mg/L'"),
        ("nan mg/L", "concentration", "Begin with the number"),
        ("inf mg/L", "concentration", "Begin with the number"),
        ("", "volume", "Begin with the number"),
        ("20 grains", "concentration", "grain per gallon"),
        ("3 mmol/L", "concentration", "depends on what was tested"),
        ("26 °", "temperature", "Write degC or degF"),
        ("7.6 mg/L", "ph", "Write the number alone"),
        ("9" * 70 + " L", "volume", "Write one number and its unit"),
    ],
)
def test_a_doubtful_quantity_is_refused_with_the_way_to_mend_it(text: str, quantity: str, words: str) -> None:
    """Nothing is guessed: the refusal quotes what was typed and says what to write."""
    with pytest.raises(QuantityRefused) as caught:
        parse_quantity(text, quantity)

    assert words in str(caught.value)
    assert "\x00" not in str(caught.value)
    assert "\u200b" not in str(caught.value)


def test_the_subject_is_named_where_it_is_known() -> None:
    """The message speaks of the reading, not of a kind in the abstract."""
    with pytest.raises(QuantityRefused, match="degF is a temperature; salt is a concentration"):
        parse_quantity("84 degF", "concentration", "salt")


def test_us_units_settle_a_bare_gallon() -> None:
    """Where the case says that its units are US ones, 'gal' and 'fl oz' have one meaning."""
    assert parse_quantity("10,000 gal", "volume", system="us").canonical == 37854.11784
    assert parse_quantity("5 fl oz", "volume", system="us").unit.symbol == "US fl oz"
    with pytest.raises(QuantityRefused, match="may be US gal or imp gal"):
        parse_quantity("10,000 gal", "volume", system="metric")


@pytest.mark.parametrize("number", [True, False, math.nan, math.inf, -math.inf, "5", None, [5], 10**400])
def test_only_finite_numbers_are_converted(number: object) -> None:
    """True would pass as 1; NaN would pass every threshold; both are refused."""
    with pytest.raises(QuantityRefused):
        to_canonical(number, "mg/L", "concentration")  # type: ignore[arg-type]


def test_a_number_too_large_for_the_canonical_unit_is_refused() -> None:
    """No infinity comes out of a conversion."""
    with pytest.raises(QuantityRefused, match="too large"):
        to_canonical(1.7e308, "kg", "mass")


def test_a_precision_has_no_freezing_point() -> None:
    """A difference of 9 degF is 5 degC, though 9 degF itself is below freezing."""
    assert convert_difference(9, "degF", "degC", "temperature") == 5.0
    assert convert(9, "degF", "degC", "temperature") == -115 / 9


def test_the_table_is_whole() -> None:
    """Every quantity has its canonical unit with factor one, every symbol and word finds one unit, no word is both."""
    for quantity, symbol in CANONICAL.items():
        unit = find_unit(symbol, quantity)
        assert (Fraction(1), Fraction(0), quantity) == (unit.factor, unit.shift, unit.quantity)
    for unit in UNITS:
        assert unit.source
        for word in (unit.symbol, *unit.words, unit.symbol.upper()):
            assert unit is find_unit(word, unit.quantity), word
    assert set(CANONICAL) == set(KINDS) == {unit.quantity for unit in UNITS}
    taken = {word.casefold() for unit in UNITS for word in (unit.symbol, *unit.words)}
    assert not taken & (set(TWO_MEANINGS) | set(NOT_TAKEN))


@given(st.sampled_from(UNITS), st.floats(-1e9, 1e9))
def test_there_and_back_is_the_same(unit: Unit, number: float) -> None:
    """Converting to the canonical unit and back loses nothing but the last digits."""
    there = to_canonical(number, unit.symbol, unit.quantity)

    assert from_canonical(there, unit.symbol, unit.quantity) == pytest.approx(number, rel=1e-12, abs=1e-11)


@given(st.sampled_from(UNITS), st.floats(-1e6, 1e6), st.sampled_from([" ", "", "\u00a0"]))
def test_written_numbers_are_read_back(unit: Unit, number: float, gap: str) -> None:
    """What a program writes with repr and a symbol reads as exactly the same value; a pH and a count have no unit."""
    typed = parse_quantity(f"{number!r}{gap}{unit.symbol}", unit.quantity)

    assert (number, unit) == (typed.number, unit)
    assert to_canonical(number, unit.symbol, unit.quantity) == typed.canonical


@given(st.text(max_size=80), st.sampled_from(sorted(CANONICAL)))
def test_any_text_is_read_or_refused(text: str, quantity: str) -> None:
    """No text gives anything but a finite number or our own error, and the error can be printed."""
    try:
        assert math.isfinite(parse_quantity(text, quantity).canonical)
    except QuantityRefused as refused:
        str(refused).encode("utf-8")


@pytest.mark.parametrize(
    ("canonical", "quantity", "metric", "us"),
    [
        (45424.94, "volume", "45.4 m3", "12,000 US gal"),
        (999.96, "volume", "1 m3", "264 US gal"),
        (500, "volume", "500 L", "132 US gal"),
        (0.25, "volume", "250 mL", "8.45 US fl oz"),
        (0, "volume", "0 L", "0 US gal"),
        (3210, "concentration", "3210 mg/L", "3,210 ppm"),
        (35000, "concentration", "35000 mg/L", "35,000 ppm"),
        (0.1, "concentration", "0.1 mg/L", "0.1 ppm"),
        (26, "temperature", "26 °C", "78.8 °F"),
        (-0.001, "temperature", "-0.001 °C", "32 °F"),
        (50, "pressure", "0.5 bar", "7.25 psi"),
        (45000, "mass", "45 kg", "99.2 lb"),
        (250, "mass", "250 g", "8.82 oz"),
        (999.9, "mass", "1 kg", "2.2 lb"),
        (0.05, "length", "5 cm", "1.97 in"),
        (10, "rate-mass-per-time", "10 g/h", "0.529 lb/day"),
        (35064, "duration", "4 years", "4 years"),
        (8, "duration", "8 h", "8 h"),
        (0.25, "duration", "15 min", "15 min"),
        (7.6, "ph", "7.6", "7.6"),
        (60, "percent", "60 %", "60 %"),
        (0.02, "current", "20 mA", "20 mA"),
    ],
)
def test_quantities_are_shown_as_people_read_them(canonical: float, quantity: str, metric: str, us: str) -> None:
    """The unit suits the size; rounding is done before the unit is chosen, so that no '1000 g' appears."""
    assert (metric, us) == (show(canonical, quantity), show(canonical, quantity, "us"))


def test_show_takes_another_unit_and_other_digits() -> None:
    """A rule may count years, a dose millilitres; two digits are enough for a guess."""
    assert show(4, "duration", unit="years") == "4 years"
    assert show(1480, "volume", digits=2, unit="mL") == "1.5 L"


@given(
    st.sampled_from([quantity for quantity in CANONICAL if quantity != "temperature"]),
    st.floats(1e-3, 1e7),
    st.sampled_from(["metric", "us"]),
)
def test_what_is_shown_is_read_back_within_the_rounding(quantity: str, canonical: float, system: System) -> None:
    """A value on the screen can be typed in again."""
    text = show(canonical, quantity, system, digits=4)

    assert parse_quantity(text, quantity).canonical == pytest.approx(canonical, rel=6e-4)


def test_found_values_are_shortened_and_safe_to_print() -> None:
    """A message never carries escape sequences, half characters or a megabyte of text."""
    assert shortened("\x1b[31mred") == "'\\x1b[31mred'"
    assert shortened("\ud800") == "'\\ud800'"
    assert len(shortened("x" * 1_000_000)) < 70
    assert shortened([1, 2]) == "a list"
    assert shortened(10**5000) == "a whole number of more than 20 digits"
