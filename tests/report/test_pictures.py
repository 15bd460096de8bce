"""Drawings and charts: sound, named, and pointing at what the rules speak of."""

import json
import re
import xml.etree.ElementTree as ElementTree
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from saltriage.guard import danger_look
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.knowledge.settings import Picture
from saltriage.pool.water import Water
from saltriage.report.shared.pictures import (
    Strip,
    bullet_bar,
    chance_bar,
    drawing,
    evidence_bar,
    pipe,
    saturation_curve,
    shown,
    sign,
    staff,
    strip,
    tile,
    tiles,
)
from saltriage.report.shared.pictures.drawings import _RINGS

ROOT = Path(__file__).parents[2]
DRAWINGS = sorted(path.stem for path in (ROOT / "engine/saltriage/report/shared/pictures").glob("drawings/*.svg"))


@cache
def rules() -> Knowledge:
    return load_knowledge(ROOT / "rules")


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_drawing_is_sound_and_says_what_it_shows(name: str) -> None:
    """Well-formed, scales to any width, has a name for those who cannot see it, no colour and no style of its own."""
    svg = ElementTree.fromstring(drawing(name))

    assert svg.get("role") == "img"
    assert len(svg.get("aria-label") or "") > 60
    assert re.fullmatch(r"0 0 \d+ \d+", svg.get("viewBox") or "")
    for each in svg.iter():
        assert not {"style", "fill", "stroke", "width", "height", "href"} & set(each.attrib) or each.tag == "rect"
        assert not any(key.startswith("on") for key in each.attrib)


def words_of(name: str) -> list[str]:
    """The words of a definition that all schemas share."""
    common = json.loads((ROOT / "schemas" / "common.schema.json").read_text(encoding="utf-8"))
    words: list[str] = common["$defs"][name]["enum"]
    return words


def test_what_rules_may_call_for_is_drawn() -> None:
    """Every drawing of the schema ships, every part has its place in the return line, and no other has."""
    assert sorted(words_of("drawing")) == DRAWINGS
    assert sorted(_RINGS) == sorted(words_of("part"))
    assert sorted(words_of("part-or-none")) == sorted([*_RINGS, "none"])


def test_the_questions_of_the_plant_have_a_picture() -> None:
    """Where one has to look at the pad, the box, the lid, the plug, the plates, the skimmer, the gauge, a test."""
    seen = ("pad", "box", "pump-lid", "plug", "plates", "skimmer", "gauge", "returns")
    looks = rules().pictures
    for symptom in rules().symptoms.values():
        if symptom.ask and symptom.ask.together in {f"look-at-the-{word}" for word in seen}:
            assert shown(looks.look(symptom.ask.picture, symptom.ask.together), looks), symptom.id


def test_a_question_has_its_own_picture_before_that_of_its_place() -> None:
    """The pump is ringed for the dead pump, the whole pad shown for what has no place of its own."""
    looks, dead = rules().pictures, rules().symptoms["pump-dead"].ask
    assert dead is not None

    assert Picture("return-line", "pump") == looks.look(dead.picture, dead.together)
    assert Picture("return-line") == looks.look(Picture(), dead.together)
    assert "Marked: pump." in shown(looks.look(dead.picture, dead.together), looks)
    assert not shown(Picture(), looks)


def test_a_cause_sits_in_its_own_part_before_that_of_its_area() -> None:
    """What names no part takes that of its area; none is said with a word, so that it is on purpose."""
    part = rules().pictures.part

    assert part("", "flow") == "pump"
    assert part("skimmer", "flow") == "skimmer"
    assert part("none", "flow") == ""
    assert part("", "season") == ""


@pytest.mark.parametrize("part", sorted(_RINGS))
def test_a_marked_part_is_ringed_and_named(part: str) -> None:
    svg = ElementTree.fromstring(pipe(part, name := rules().pictures.parts[part]))

    rings = [each for each in svg.iter() if each.get("class") == "ring-mark"]
    assert len(rings) == 1
    assert name in (svg.get("aria-label") or "")
    assert any(name in (each.text or "") for each in svg.iter())


@pytest.mark.parametrize("part", sorted(_RINGS))
def test_what_is_cut_off_a_drawing_is_never_its_ring(part: str) -> None:
    """Ring and name stay; the sky or the pool goes."""
    svg = ElementTree.fromstring(shown(Picture("return-line", part), rules().pictures, close=True))
    _, top, _, high = (float(each) for each in (svg.get("viewBox") or "").split())
    ring = next(each for each in svg.iter() if each.get("class") == "ring-mark")
    name = next(each for each in svg.iter() if each.get("class") == "ring-name")

    assert high < 236
    assert top <= float(ring.get("cy") or 0) - float(ring.get("ry") or 0)
    assert float(ring.get("cy") or 0) + float(ring.get("ry") or 0) <= top + high
    assert top < float(name.get("y") or 0) < top + high


def test_the_cell_is_the_last_part_before_the_pool() -> None:
    """Common practice, no source: pump, filter, heater, flow sensor, cell, in the direction of the water."""
    order = ["skimmer", "pump", "filter", "heater", "flow-sensor", "cell"]

    across = [_RINGS[part].x for part in order]
    assert across == sorted(across)
    assert "ring-mark" not in pipe("")


@given(st.floats(0, 1))
def test_a_bar_is_as_long_as_its_chance(chance: float) -> None:
    width = float(re.search(r'width="([\d.]+)"', chance_bar(chance))[1])  # type: ignore[index]

    assert width == pytest.approx(200 * chance, abs=0.06)


@given(st.floats(1e-4, 1e4))
def test_evidence_for_lies_right_and_against_left(factor: float) -> None:
    """From the middle outwards, and never out of the picture."""
    bar = evidence_bar(factor)
    start, width = (float(re.search(rf'{name}="([\d.]+)" ', bar + " ")[1]) for name in ("x", "width"))  # type: ignore[index]

    assert 0 <= start <= start + width <= 100
    assert (start == 50) == (factor >= 1 or width == 0)
    assert ("bar-for" in bar) == (factor >= 1)


numbers = st.floats(0, 1000, allow_nan=False)


@given(numbers, numbers, numbers, numbers)
def test_a_verdict_follows_from_the_interval(a: float, b: float, c: float, d: float) -> None:
    """Whole interval below, above or within; else at the edge. Held against sampling the interval."""
    (low, high), (start, end) = sorted((a, b)), sorted((c, d))
    verdict = Strip(low, high, start, end).verdict
    points = [low, (low + high) / 2, high]

    if verdict == "below":
        assert all(point < start for point in points)
    elif verdict == "above":
        assert all(point > end for point in points)
    elif verdict == "within":
        assert all(start <= point <= end for point in points)
    else:
        assert not all(start <= point <= end for point in points)


@given(numbers, st.floats(0, 100), st.one_of(st.none(), numbers), st.one_of(st.none(), st.floats(0.01, 500)))
def test_a_strip_stays_in_its_picture(low: float, reach: float, start: float | None, width: float | None) -> None:
    end = None if width is None else (start or 0.0) + width
    if start is None and end is None:
        return
    svg = ElementTree.fromstring(strip(Strip(low, low + reach, start, end)))

    for each in svg.iter():
        for number in re.findall(r"-?\d+\.?\d*", each.get("d") or ""):
            assert -6 <= float(number) <= 206


@given(numbers, st.floats(0, 100), st.one_of(st.none(), numbers), st.one_of(st.none(), st.floats(0.01, 500)))
def test_a_bullet_shows_the_way_that_is_missing(
    low: float, reach: float, start: float | None, width: float | None
) -> None:
    """The rust way lies between value and band, and only where the value is outside; all places are in the picture."""
    end = None if width is None else (start or 0.0) + width
    if start is None and end is None:
        return
    svg = ElementTree.fromstring(bullet_bar(Strip(low, low + reach, start, end), ("a", "b")))
    middle = low + reach / 2
    outside = (start is not None and middle < start) or (end is not None and middle > end)

    for each in svg.iter():
        for key in ("x", "x1", "x2", "width"):
            if each.get(key, "").endswith("%"):
                assert 0 <= float(each.get(key, "").rstrip("%")) <= 100
    ways = [each for each in svg.iter() if each.get("class") == "b-way"]
    assert len(ways) <= int(outside)
    away = min(abs(middle - bound) for bound in (start, end) if bound is not None)
    if outside and reach < 0.001 and width is not None and width > 1 and away > width:
        assert len(ways) == 1


def test_every_line_of_the_look_for_danger_has_a_sign_of_its_own() -> None:
    """Told apart by shape, without colour: no two rows show the same, none falls back to the triangle."""
    signs = [str(sign(row)) for row in danger_look(rules())]

    assert len(set(signs)) == len(signs) >= 6
    assert str(sign("danger")) not in signs
    for each in signs:
        assert ElementTree.fromstring(each).get("aria-hidden") == "true"
    assert str(sign("no-such-row")) == str(sign("danger"))


def test_tiles_are_places_of_the_rules() -> None:
    for place in tiles():
        assert place in rules().pictures.headings
        assert ElementTree.fromstring(tile(place)).get("viewBox") == "0 0 72 54"
    assert tile("no-such-place") == ""


def test_the_staff_is_filled_up_to_where_the_asking_has_come() -> None:
    assert "svg" not in staff(0.0)
    assert 'width="55.0%"' in staff(0.55)
    assert 'width="100.0%"' in staff(7.0)


def test_the_curve_marks_the_water_where_it_is() -> None:
    """The dot lies on the line, at the pH of the water; higher pH, higher index."""
    water = Water(ph=7.6, total_alkalinity=100, calcium_hardness=300, salt=3000, temperature=26)
    svg = ElementTree.fromstring(saturation_curve(water, -0.3, 0.1))

    line = next(each for each in svg.iter() if each.tag == "polyline")
    points = [tuple(map(float, pair.split(","))) for pair in (line.get("points") or "").split()]
    dot = next(each for each in svg.iter() if each.get("class") == "here")
    x, y = float(dot.get("cx") or 0), float(dot.get("cy") or 0)
    assert [height for _, height in points] == sorted((height for _, height in points), reverse=True)
    assert (x, y) in [(pytest.approx(px, abs=0.11), pytest.approx(py, abs=0.11)) for px, py in points]
    assert f"{water.saturation_index():+.1f}" in (svg.get("aria-label") or "")
