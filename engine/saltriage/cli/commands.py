"""What commands there are, and what each is for. The module of a command is imported when the command is asked for.

So a command's module imports at its top all that the command needs, and neither `--version`, `--help` nor another
command pays for it. `hand-over` is in the module `hand_over`; what stands here is the first line of its docstring.
"""

from collections.abc import Mapping
from importlib import import_module

__all__ = ["COMMANDS", "import_command"]

COMMANDS: Mapping[str, str] = {
    "ask": "Ask the next best question until the cause is clear, then say what to do. It keeps a case file.",
    "batch": "Diagnose many cases: a result or an error for every line, in order; exit code 1 when there were errors.",
    "desk": "Calls kept, found again, followed up, closed with what came of them.",
    "diagnose": (
        "Rank the causes of one case and say what to do, how much, with which cautions, and what to check next."
    ),
    "follow-up": "Hold new readings against what was promised, rank the causes anew, and keep it in the record.",
    "hand-over": "One page for the technician, the electrician or the maker's service.",
    "history": "Print and plot what a record holds: readings, doings, verdicts, causes, the volume.",
    "plan": "Say what to do in which order, how much of what, and when: to start, open, close, keep and clean.",
    "serve": (
        "Open the pages for owners and support staff, and the HTTP API. Keeps calls only with --desk. Ctrl-C ends it."
    ),
    "water": "Say what the water is, and plan everything that is out of range together, without a diagnosis.",
    "cases": "Reference cases: what must come out, held against what does.",
    "rules": "Check, write, compare and show rules.",
}


_MORE: Mapping[str, tuple[str, ...]] = {
    "rules": ("rules_train", "rules_learn"), "cases": ("cases_exam",),
    "desk": ("desk_moving", "desk_figures", "desk_users"),
}  # fmt: skip
"""Further modules of a command, whose subcommands need what the others do not."""


def import_command(name: str) -> None:
    """Import the module of a command, which registers it on the application. Args: name: one of COMMANDS."""
    for module in (name.replace("-", "_"), *_MORE.get(name, ())):
        import_module(f"saltriage.cli.{module}")
