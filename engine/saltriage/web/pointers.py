"""Where in the body of a request a refused field lies, as a JSON pointer (RFC 6901)."""

from collections.abc import Mapping, Sequence
from itertools import islice

from saltriage.pool.units import shortened

__all__ = ["Path", "pointer", "steps_to"]

Path = tuple[str | int, ...]
_MOST_KEYS = 1000  # that are looked at one by one; an odd key among more is not pointed at


def pointer(steps: Path) -> str:
    """The pointer in a URI fragment (section 6); '#' is the whole body."""
    return "#" + "".join(f"/{str(step).replace('~', '~0').replace('/', '~1')}" for step in steps)


def steps_to(field: str, body: object, places: Sequence[Path]) -> Path:
    """What leads to a field of a case.

    Args: field: dotted path as a refusal has it. places: that the path may begin at, in order. Where none has the whole
    path, as for a key that is missing, the one that is followed furthest counts: the pointer then names what lacks it.
    """
    found: list[tuple[int, Path]] = []
    for place in places:
        inner, known = _at(body, place)
        steps, left = _followed(field, inner) if known else ((), len(field) + 1)
        if not left:
            return (*place, *steps)
        found.append((left if known else len(field) + 2, (*place, *steps)))
    left, best = min(found, key=lambda each: each[0])
    return best if left <= len(field) + 1 else ()


def _at(body: object, place: Path) -> tuple[object, bool]:
    for step in place:
        if not isinstance(body, Mapping) or step not in body:
            return None, False
        body = body[step]
    return body, True


def _followed(field: str, inner: object) -> tuple[Path, int]:
    """The steps that can be gone, and how many signs of the path are left then; a key may hold dots itself."""
    steps: list[str | int] = []
    left = field
    while left:
        key, rest = _step(left, inner)
        if key is None:
            break
        inner = inner[key]  # type: ignore[index]
        steps.append(key)
        left = rest
    return tuple(steps), len(left)


def _step(left: str, inner: object) -> tuple[str | int | None, str]:
    """The longest key that the path goes on with, and what is left of it then."""
    if isinstance(inner, list):
        first, _, rest = left.partition(".")
        return (int(first), rest) if first.isdigit() and int(first) < len(inner) else (None, left)
    if not isinstance(inner, Mapping):
        return None, left
    cut = len(left)
    while cut > 0:
        if left[:cut] in inner:
            return left[:cut], left[cut + 1 :]
        cut = left.rfind(".", 0, cut)
    # A refusal writes a long or odd key shortened.
    for key in islice(inner, _MOST_KEYS):
        name = shortened(str(key))[1:-1]
        if left == name or left.startswith(f"{name}."):
            return key, left[len(name) + 1 :]
    return None, left
