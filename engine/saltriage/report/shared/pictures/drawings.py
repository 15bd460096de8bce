"""The drawings that ship as SVG files, and the pipe diagram with one part marked."""

from functools import cache
from pathlib import Path
from typing import NamedTuple

from markupsafe import Markup, escape

from saltriage.knowledge.settings import Picture, Pictures

__all__ = ["drawing", "pipe", "shown", "sign", "tile", "tiles"]

_FOLDER = Path(__file__).parent / "drawings"
_WHOLE_LINE = "return-line"


class _Ring(NamedTuple):
    """Where a part is in return-line.svg: middle and half-axes of the ring drawn round it."""

    x: float
    y: float
    wide: float
    high: float


_RINGS = {
    "pool": _Ring(190, 204, 60, 17),
    "skimmer": _Ring(29, 178, 24, 24),
    "suction": _Ring(32, 126, 18, 36),
    "pump": _Ring(90, 106, 44, 32),
    "pump-lid": _Ring(80, 80, 20, 18),
    "pressure": _Ring(128, 76, 20, 20),
    "filter": _Ring(164, 88, 32, 50),
    "gauge": _Ring(164, 32, 18, 18),
    "heater": _Ring(225, 90, 27, 42),
    "flow-sensor": _Ring(273, 70, 16, 24),
    "cell": _Ring(317, 73, 34, 18),
    "plug": _Ring(316, 49, 18, 13),
    "control-box": _Ring(316, 23, 40, 21),
    "supply": _Ring(361, 18, 16, 16),
    "returns": _Ring(351, 186, 22, 20),
}


@cache
def drawing(name: str) -> Markup:
    """One drawing by the name of its file. Raises: FileNotFoundError for a name that is not drawn."""
    return Markup((_FOLDER / f"{name}.svg").read_text(encoding="utf-8").strip())


def shown(picture: Picture, pictures: Pictures, *, close: bool = False) -> Markup:
    """What a rule calls for, with its part ringed; empty for an empty picture.

    Args: close: without the part of the drawing that is farthest from the ring, for a short screen.
    """
    if picture.drawing == _WHOLE_LINE:
        whole = pipe(picture.part, pictures.parts.get(picture.part, ""))
        return _closer(whole, _RINGS[picture.part]) if close and picture.part in _RINGS else whole
    return drawing(picture.drawing) if picture.drawing else Markup()


_WIDE, _HIGH, _KEPT = 380, 236, 172  # of return-line.svg; what is kept of its height holds ring and name


def _closer(svg: Markup, ring: _Ring) -> Markup:
    top = 0 if ring.y + ring.high <= _KEPT else _HIGH - _KEPT
    return Markup(str(svg).replace(f'viewBox="0 0 {_WIDE} {_HIGH}"', f'viewBox="0 {top} {_WIDE} {_KEPT}"', 1))


def pipe(part: str = "", name: str = "") -> Markup:
    """The return line; `part` is ringed and named, '' marks nothing."""
    plain = drawing(_WHOLE_LINE)
    ring = _RINGS.get(part)
    if ring is None:
        return plain
    mark = Markup(
        '<ellipse class="ring-edge" cx="{0}" cy="{1}" rx="{2}" ry="{3}"/>'
        '<ellipse class="ring-mark" cx="{0}" cy="{1}" rx="{2}" ry="{3}"/>'
        '<text class="ring-name" x="190" y="169">look here: {4}</text></svg>'
    ).format(*ring, name)
    named = str(plain).replace('aria-label="', f'aria-label="Marked: {escape(name)}. ', 1)
    return Markup(named.removesuffix("</svg>")) + mark


@cache
def sign(name: str) -> Markup:
    """One small sign, hidden from those who are read to; what has no sign of its own gets that of danger."""
    path = _FOLDER.parent / "signs" / f"{name}.svg"
    return Markup((path if path.exists() else path.with_name("danger.svg")).read_text(encoding="utf-8").strip())


@cache
def tile(place: str) -> Markup:
    """The small drawing of a place to look at; empty for a place that has none."""
    path = _FOLDER.parent / "tiles" / f"{place}.svg"
    return Markup(path.read_text(encoding="utf-8").strip()) if path.exists() else Markup()


@cache
def tiles() -> tuple[str, ...]:
    """The places that have one."""
    return tuple(sorted(path.stem for path in (_FOLDER.parent / "tiles").glob("*.svg")))
