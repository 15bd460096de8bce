"""Entry point: runs the command line, and how each kind of end is told to the shell."""

import atexit
import gc
import os
import sys
from contextlib import suppress

from saltriage.cli.app import OUR_FAULT, REFUSED, STOPPED, ReaderLeft, app
from saltriage.errors import CaseRefused, MatcherFailed, SaltriageError

__all__ = ["main"]


def main() -> None:
    """Run the command line; never shows a traceback unless SALTRIAGE_DEBUG is set."""
    # What a start makes stays to the end; Python's default looks through it for garbage hundreds of times, which took a
    # tenth of a diagnosis; looking through it once more in the end, where all is given back anyway, took as much again.
    gc.set_threshold(50_000, 20, 20)
    atexit.register(gc.freeze)
    # Our matrices are small: threads of the linear algebra library take longer to start than they save, and beside one
    # process a core, as in a batch, they only stand in each other's way.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

    try:
        app(standalone_mode=True)
    except KeyboardInterrupt:
        sys.exit(STOPPED)
    except ReaderLeft:
        _silence()
        sys.exit(0)
    except MatcherFailed as fault:
        _fail(str(fault), OUR_FAULT)
    except CaseRefused as refused:
        _tell_dangers(refused)
        _fail(str(refused), REFUSED)
    except SaltriageError as refusal:
        _fail(str(refusal), REFUSED)
    except OSError as trouble:
        _silence()
        place = f"{trouble.filename}: " if trouble.filename else ""
        _fail(f"{place}{trouble.strerror or trouble}", REFUSED)
    except Exception as fault:
        if os.environ.get("SALTRIAGE_DEBUG"):
            raise
        _fail(
            f"Something broke inside saltriage ({type(fault).__name__}: {fault}). Set SALTRIAGE_DEBUG=1 to see where.",
            OUR_FAULT,
        )


def _tell_dangers(refused: CaseRefused) -> None:
    """Whatever is wrong with a case, a danger in it is told, and first; on the error stream, as every refusal is."""
    from saltriage.guard import guard_refused
    from saltriage.report.shared.danger_lines import danger_lines

    dangers = guard_refused(refused)
    for line in danger_lines(dangers.notices, dangers.order_lines, "owner"):
        print(line, file=sys.stderr)


def _silence() -> None:
    """Nothing more can be written: Python's own flush of standard output at exit would complain again."""
    with suppress(OSError, ValueError):  # no standard output at all, or one that is no file
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _fail(text: str, code: int) -> None:
    print(text, file=sys.stderr)
    sys.exit(code)
