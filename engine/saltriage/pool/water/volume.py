"""How much water a pool holds, from its measures or from salt added, with the uncertainty that follows."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

from saltriage.errors import OutOfRange
from saltriage.pool.interval import Interval

LITRES_PER_M3 = 1000.0


@dataclass(frozen=True, slots=True)
class PoolVolume:
    """Litres with the range that the errors of the measures allow."""

    volume_l: float
    range_l: Interval
    how: str

    @property
    def relative_uncertainty(self) -> float:
        """Half the range over the volume."""
        return 0.5 * self.range_l.width / self.volume_l


def _from_measures(how: str, factor: float, measures: Sequence[float], error_m: float) -> PoolVolume:
    """Factor times a product of measures in metres, each off by up to error_m."""
    if not 0.0 <= error_m < 1.0:
        raise OutOfRange(name="error of a measure", value=error_m, unit="m", allowed="0 to below 1")
    middle = low = high = factor * LITRES_PER_M3
    for measure in measures:
        if not 0.0 < measure <= 200.0 or measure <= error_m:
            raise OutOfRange(name="measure", value=measure, unit="m", allowed="above 0 (and above its error) to 200")
        middle *= measure
        low *= measure - error_m
        high *= measure + error_m
    return PoolVolume(middle, Interval(low, high), how)


def mean_depth_m(depths_m: Sequence[float]) -> float:
    """Mean depth of an evenly sloped floor from its shallow and deep end, or of evenly spaced soundings."""
    if not depths_m or any(not 0.0 < depth <= 20.0 for depth in depths_m):
        raise OutOfRange(name="depth", value=tuple(depths_m), unit="m", allowed="at least one, each above 0 to 20")
    return sum(depths_m) / len(depths_m)


def round_pool(diameter_m: float, depth_m: float, error_m: float = 0.0) -> PoolVolume:
    """A round pool of even depth of water."""
    # the diameter enters twice
    return _from_measures(
        "round: pi/4 x diameter squared x depth", pi / 4.0, (diameter_m, diameter_m, depth_m), error_m
    )


def oval_pool(length_m: float, width_m: float, depth_m: float, error_m: float = 0.0) -> PoolVolume:
    """An oval (elliptical) pool of even depth of water."""
    return _from_measures("oval: pi/4 x length x width x depth", pi / 4.0, (length_m, width_m, depth_m), error_m)


def rectangular_pool(length_m: float, width_m: float, depth_m: float, error_m: float = 0.0) -> PoolVolume:
    """A rectangular pool of even depth of water."""
    return _from_measures("rectangle: length x width x depth", 1.0, (length_m, width_m, depth_m), error_m)


def sloped_pool(length_m: float, width_m: float, shallow_m: float, deep_m: float, error_m: float = 0.0) -> PoolVolume:
    """A rectangular pool with an evenly sloped floor; a floor with a hopper needs soundings and `outlined_pool`."""
    depth = mean_depth_m((shallow_m, deep_m))
    return _from_measures("sloped: length x width x mean depth", 1.0, (length_m, width_m, depth), error_m)


def outlined_pool(
    outline_m: Sequence[tuple[float, float]], depths_m: Sequence[float], error_m: float = 0.0
) -> PoolVolume:
    """A pool of any outline, measured as corner points (x, y) in order, times the mean of evenly spread soundings.

    Raises: OutOfRange for fewer than three points or an outline without area.
    """
    if len(outline_m) < 3:
        raise OutOfRange(name="outline", value=len(outline_m), unit="points", allowed="3 and more")
    ring = list(zip(outline_m, [*outline_m[1:], outline_m[0]], strict=True))
    area = 0.5 * abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in ring))
    perimeter = sum(((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5 for (x0, y0), (x1, y1) in ring)
    if area <= 0.0:
        raise OutOfRange(name="outline", value=area, unit="m2", allowed="points in order around an area")
    depth = mean_depth_m(depths_m)
    margin = perimeter * error_m  # every edge moved in or out by the error
    how = "outline by its corner points x mean depth"
    low = max(0.0, area - margin) * max(0.0, depth - error_m)
    high = (area + margin) * (depth + error_m)
    return PoolVolume(area * depth * LITRES_PER_M3, Interval(low * LITRES_PER_M3, high * LITRES_PER_M3), how)


def volume_by_salt(
    salt_added_kg: float,
    before_mg_per_l: float,
    after_mg_per_l: float,
    error_mg_per_l: float = 0.0,
    purity_percent: float = 99.0,
) -> PoolVolume:
    """Volume from a weighed salt addition: mass over the rise, both tests with the same kit and fully mixed.

    Raises: OutOfRange when the rise is not above the error of the two tests: add more salt or use a better kit.
    """
    rise = after_mg_per_l - before_mg_per_l
    if salt_added_kg <= 0.0 or not 0.0 < purity_percent <= 100.0:
        raise OutOfRange(
            name="salt added, purity", value=(salt_added_kg, purity_percent), unit="kg, %", allowed="above 0; 0 to 100"
        )
    if error_mg_per_l < 0.0 or rise <= 2.0 * error_mg_per_l:
        raise OutOfRange(
            name="rise of salt",
            value=rise,
            unit="mg/L",
            allowed=f"above twice the error of one test, {error_mg_per_l:g}",
        )
    mass_mg = salt_added_kg * purity_percent * 1e4
    low, high = mass_mg / (rise + 2.0 * error_mg_per_l), mass_mg / (rise - 2.0 * error_mg_per_l)
    return PoolVolume(mass_mg / rise, Interval(low, high), "salt added over the rise in salt")
