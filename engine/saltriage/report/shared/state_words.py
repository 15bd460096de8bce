"""What is off, in words: a fact with value, method and target; a reading at its limit; a possibility."""

from saltriage.pool.one_sided import side_named, worded
from saltriage.pool.units import System, show
from saltriage.report.shared.words import first_sentence, inner
from saltriage.result import StateLine

__all__ = ["state_ends", "state_method", "state_number", "state_target", "state_text", "state_value"]


def state_text(state: StateLine, reader: str, units: System) -> str:
    """One line: 'Too little salt: 2,100 mg/L (drop-count test for chloride); your unit wants 2,700 to 3,400 mg/L'."""
    if state.standing == "possible":
        return f"Possibly {inner(state.title)}. To know: {first_sentence(state.prove.for_reader(reader))}"
    value, target = state_value(state, units), state_target(state, units)
    wanted = f"; {target}" if target else ""
    if state.standing == "borderline":
        if not value:
            return f"{state.title}? The tests are too coarse to tell."
        if state.bound:
            return f"{state.title}? {value}{wanted}: only the number can tell."
        kit = "the tests" if state.value is None else "this test"
        return f"{state.title}? {value}{wanted}: at the limit, {kit} cannot tell."
    if value:
        return f"{state.title}: {value}{wanted}."
    return f"{state.title} ({'seen' if state.known_by == 'seen' else 'as told'})."


def state_value(state: StateLine, units: System) -> str:
    """The value with how it was found; '' where no reading shows the state."""
    if state.value_low is None or state.value_high is None:
        return ""
    if state.value is not None:
        return f"{worded(side_named(state.bound), _number(state.value, state, units))} ({state_method(state)})"
    # What is worked out as a difference of two tests may seem to fall below nothing.
    least = max(state.value_low, 0.0) if state.quantity == "concentration" else state.value_low
    low, high = (_number(end, state, units) for end in (least, state.value_high))
    return f"{low if low == high else f'{low} to {high}'} (worked out)"


def state_number(value: float, state: StateLine, units: System) -> str:
    """A distance or a limit without its unit."""
    number, _, unit = _number(value, state, units).partition(" ")
    return number if unit else number.removeprefix("+")


def state_method(state: StateLine) -> str:
    """How it was found, in short."""
    if state.value is None:
        return "worked out"
    return inner(state.method) if state.method else "method not given"


def state_ends(state: StateLine, units: System) -> tuple[str, str]:
    """The two limits of the wanted band as they stand under a bar; '' for an open one."""
    low, high = (
        "" if end is None else _number(end, state, units).partition(" ")[0]
        for end in (state.target_low, state.target_high)
    )
    return low, high


def state_target(state: StateLine, units: System) -> str:
    """Where it should be: 'your unit wants 2,700 to 3,400 mg/L', 'should be at most 0.5 mg/L'; '' where nobody says."""
    low, high = (None if end is None else _number(end, state, units) for end in (state.target_low, state.target_high))
    if low is None and high is None:
        return ""
    span = f"at most {high}" if low is None else f"at least {low}" if high is None else f"{_bare(low, high)} to {high}"
    return f"your unit wants {span}" if state.target_of == "unit" else f"should be {span}"


def _number(value: float, state: StateLine, units: System) -> str:
    if state.reading.endswith("-index"):  # an index is read to one decimal
        return f"{round(value, 1) + 0.0:+.1f}"
    return show(value, state.quantity, units, unit=state.unit)


def _bare(low: str, high: str) -> str:
    """The lower end without its unit where the upper one has the same."""
    number, _, unit = low.partition(" ")
    return number if unit and high.endswith(f" {unit}") else low
