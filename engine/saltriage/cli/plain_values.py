"""Values of options that need no converting are left as they are.

typer has pydantic convert every value, also one that was not given, and importing pydantic takes a sixth of the time of
a whole diagnosis. What is converted still is what somebody typed for an option that is not plain text.
"""

from typing import Any

__all__ = ["leave_plain_values"]


def leave_plain_values(parameter: Any) -> Any:
    """The same parameter of a command, which now passes on what is nothing, a default, or text where text is wanted.

    Args: parameter: of a typer command; one of a typer that does not know `type_descriptor`, which therefore converts
        without pydantic, stays as it is, and so does one that takes several values.
    """
    wanted = getattr(parameter, "type_descriptor", None)
    if wanted is None or parameter.nargs != 1 or parameter.multiple or "process_value" in vars(parameter):
        return parameter
    convert = parameter.process_value

    def process_value(context: Any, value: Any) -> Any:
        if value is None:
            plain = not parameter.required  # else it is told that it is missing
        else:
            plain = wanted.annotation is str or type(value) is not str  # a default may be a word of a StrEnum
        if not plain:
            return convert(context, value)
        return value if parameter.callback is None else parameter.callback(context, parameter, value)

    parameter.process_value = process_value
    return parameter
