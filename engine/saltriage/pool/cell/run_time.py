"""How long the cell must run a day for what the pool uses."""

from dataclasses import dataclass

from saltriage.errors import OutOfRange


@dataclass(frozen=True, slots=True)
class RunTime:
    """Hours per day at full output; above 24 the cell cannot keep up, however it is set."""

    hours_per_day: float
    demand_g_per_day: float

    @property
    def can_keep_up(self) -> bool:
        """Whether a day is long enough."""
        return self.hours_per_day <= 24.0

    def output_setting_percent(self, pump_hours_per_day: float) -> float:
        """Output setting for a given pump time, percent; above 100 the pump runs too short."""
        if not 0.0 < pump_hours_per_day <= 24.0:
            raise OutOfRange(name="pump hours per day", value=pump_hours_per_day, unit="h", allowed="above 0 to 24")
        return 100.0 * self.hours_per_day / pump_hours_per_day


@dataclass(frozen=True, slots=True)
class RunTimeRange:
    """Run time at the least and the most that the inputs allow."""

    least: RunTime
    most: RunTime


def hours_per_day(demand_mg_per_l_per_day: float, volume_l: float, output_g_per_h: float) -> RunTime:
    """Run time from demand (mg/L of chlorine per day), pool volume and output at 100 %."""
    if demand_mg_per_l_per_day < 0.0 or demand_mg_per_l_per_day > 50.0:
        raise OutOfRange(name="chlorine demand", value=demand_mg_per_l_per_day, unit="mg/L per day", allowed="0 to 50")
    if volume_l <= 0.0 or output_g_per_h <= 0.0:
        raise OutOfRange(name="volume and output", value=(volume_l, output_g_per_h), allowed="above 0")
    grams = demand_mg_per_l_per_day * volume_l / 1000.0
    return RunTime(grams / output_g_per_h, grams)


def hours_per_day_range(
    demand_mg_per_l_per_day: tuple[float, float], volume_l: tuple[float, float], output_g_per_h: tuple[float, float]
) -> RunTimeRange:
    """The same over (low, high) of each input."""
    least = hours_per_day(demand_mg_per_l_per_day[0], volume_l[0], output_g_per_h[1])
    return RunTimeRange(least, hours_per_day(demand_mg_per_l_per_day[1], volume_l[1], output_g_per_h[0]))


def daily_demand_mg_per_l(
    overnight_loss_mg_per_l: float,
    daytime_loss_mg_per_l: float,
    *,
    night_hours: float = 12.0,
    day_hours: float = 12.0,
    made_by_day_mg_per_l: float = 0.0,
) -> float:
    """Chlorine used in 24 h, from what free chlorine fell from dusk to dawn and from dawn to dusk, cell off.

    If the cell ran by day, give what it made (mg/L) in `made_by_day_mg_per_l`; the daytime loss may then be negative.
    Measured hours are stretched to a day of 12 + 12 h. Raises: OutOfRange when the sum is negative or hours are not
    above 0.
    """
    if not (0.0 < night_hours <= 24.0 and 0.0 < day_hours <= 24.0):
        raise OutOfRange(name="hours between tests", value=(night_hours, day_hours), unit="h", allowed="above 0 to 24")
    night = overnight_loss_mg_per_l * 12.0 / night_hours
    day = (daytime_loss_mg_per_l + made_by_day_mg_per_l) * 12.0 / day_hours
    if night < 0.0 or day < 0.0:
        raise OutOfRange(
            name="loss overnight and by day",
            value=(night, day),
            unit="mg/L",
            message="free chlorine rose with nothing making it: repeat the tests",
        )
    return night + day


def output_from_rise_g_per_h(
    rise_mg_per_l: float, overnight_loss_mg_per_l_per_h: float, hours: float, volume_l: float
) -> float:
    """Chlorine a cell really made per hour: the rise of free chlorine in a night run, plus what was lost meanwhile."""
    if hours <= 0.0 or volume_l <= 0.0:
        raise OutOfRange(name="hours and volume", value=(hours, volume_l), allowed="above 0")
    return (rise_mg_per_l / hours + overnight_loss_mg_per_l_per_h) * volume_l / 1000.0
