"""A whole file of cases on this machine's cores.

Results go to ``OUT.part`` chunk by chunk, in the order of the input, and the finished file takes its name in one step.
Whatever stops the run, a resumed run keeps the whole chunks of the part, makes the last of them anew to see that the
cases and the rules are still the same, and goes on behind it, so its output equals that of an uninterrupted run byte
for byte. Chunks begin at the same lines in every run, because cases of one chunk are ranked together.
"""

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import BinaryIO

from saltriage.batch.lines import Line, diagnosed_lines
from saltriage.batch.pool import results_in_order
from saltriage.errors import UsageRefused

__all__ = ["CHUNK_LINES", "BatchSummary", "file_chunks", "is_error", "run_batch"]

CHUNK_LINES = 64  # enough to rank together, few enough to lose on a kill
LONGEST_LINE = 600_000  # bytes; longer than any case that is accepted

Progress = Callable[[int, float], None]


@dataclass(frozen=True, slots=True)
class BatchSummary:
    """What a run did. Args: lines: in the whole output; errors: error lines among them; resumed: lines found done."""

    lines: int
    errors: int
    resumed: int


def run_batch(
    source: Path,
    target: Path,
    workers: int = 1,
    *,
    rules: Path | None = None,
    resume: bool = False,
    progress: Progress = lambda lines, share: None,
) -> BatchSummary:
    """Diagnose every line of `source` into `target`.

    Args:
        workers: processes; 1 works in this one.    resume: go on from an earlier part instead of refusing to.
        progress: called after each chunk with the number of lines done and the share of the input that is read, 0 to 1.

    Raises:
        UsageRefused: no such file, the target exists, a part is there and `resume` is not asked for, the part was made
            from other cases or rules, or another run is writing it.
        OSError: reading or writing failed; the part stays as it is.
    """
    refuse_target(target)
    if workers < 1:
        raise UsageRefused(f"{workers} workers; at least 1 is needed")
    part = target.with_name(target.name + ".part")
    if part.exists() and not resume:
        raise UsageRefused(f"{part} is there from a run that did not end; go on with --resume or delete it")
    with opened(source) as lines, _part(part) as output:
        size = max(1, os.fstat(lines.fileno()).st_size)
        done, errors = _resumed(lines, output, part, rules)
        total = done
        for results in results_in_order(file_chunks(lines, done), workers, rules):
            output.write(b"".join(result + b"\n" for result in results))
            output.flush()
            total += len(results)
            errors += sum(is_error(result) for result in results)
            progress(total, min(1.0, lines.tell() / size) if lines.seekable() else 0.0)
        os.fsync(output.fileno())
        os.replace(part, target)
    return BatchSummary(total, errors, done)


def refuse_target(target: Path) -> None:
    """Raises: UsageRefused: the target exists, or there is no folder to put it in."""
    if target.exists():
        raise UsageRefused(f"{target} exists; name another file or delete it")
    if not target.parent.is_dir():
        raise UsageRefused(f"{target.parent}: no such folder; make it, or name another file")


def is_error(result: bytes) -> bool:
    """Whether a line of output is an error."""
    return b'"error":' in result[:40]  # stands right behind the line's number


@contextmanager
def opened(source: Path) -> Iterator[BinaryIO]:
    """The input. Raises: UsageRefused: no such file."""
    try:
        lines = open(source, "rb")  # noqa: SIM115  closed below
    except FileNotFoundError:
        raise UsageRefused(f"{source}: no such file; name a file with one JSON case a line") from None
    with lines:
        yield lines


@contextmanager
def _part(part: Path) -> Iterator[BinaryIO]:
    """The part, open for reading and writing, to this run alone. Raises: UsageRefused: another run has it."""
    with open(os.open(part, os.O_RDWR | os.O_CREAT, 0o666), "r+b") as output:
        try:
            import fcntl

            fcntl.flock(output, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except ImportError:  # not on Windows, where an open file cannot be renamed by another run either
            pass
        except BlockingIOError:
            raise UsageRefused(f"{part} is being written by another run") from None
        if not part.exists() or not os.path.samestat(os.fstat(output.fileno()), part.stat()):
            raise UsageRefused(f"{part} was finished by another run just now")
        yield output


def _resumed(lines: BinaryIO, output: BinaryIO, part: Path, rules: Path | None) -> tuple[int, int]:
    """Lines to keep in the part and errors among them; the part ends behind them, ready for more."""
    kept = errors = end = 0
    last: list[bytes] = []
    while chunk := list(islice(output, CHUNK_LINES)):
        if len(chunk) < CHUNK_LINES or not chunk[-1].endswith(b"\n"):
            break
        kept += CHUNK_LINES
        errors += sum(map(is_error, chunk))
        end += sum(map(len, chunk))
        last = chunk
    if last:
        again = diagnosed_lines(next(file_chunks(lines, kept - CHUNK_LINES), []), rules)
        if [each + b"\n" for each in again] != last:
            raise UsageRefused(f"{part} was made from other cases or with other rules; delete it and start anew")
        lines.seek(0)
    output.seek(end)
    output.truncate()
    return kept, errors


def file_chunks(lines: BinaryIO, skip: int) -> Iterator[list[Line]]:
    """The lines behind the first `skip`, in chunks."""
    chunk: list[Line] = []
    for number, text in enumerate(_lines(lines), 1):
        if number > skip:
            chunk.append((number, text))
        if len(chunk) == CHUNK_LINES:
            yield chunk
            chunk = []
    if chunk:
        yield chunk


def _lines(lines: BinaryIO) -> Iterator[bytes]:
    """Every line without its end; of a longer one than any case only the beginning, which is refused as too long."""
    while text := lines.readline(LONGEST_LINE):
        whole = text.endswith(b"\n")
        yield text.rstrip(b"\r\n")
        while not whole and (rest := lines.readline(LONGEST_LINE)):
            whole = rest.endswith(b"\n")
