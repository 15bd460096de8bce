"""A whole file of cases on this machine's cores.

Results go to ``OUT.part`` chunk by chunk, in the order of the input, and the finished file takes its name in one step.
Whatever stops the run, the part that is there holds whole lines but for its last one; a resumed run drops that one and
goes on behind the lines that are complete, so its output equals that of an uninterrupted run byte for byte.
"""

import json
import os
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import BinaryIO

from saltriage.batch.lines import Line, diagnosed_lines
from saltriage.errors import UsageRefused

__all__ = ["CHUNK_LINES", "BatchSummary", "file_chunks", "is_error", "results_in_order", "run_batch"]

CHUNK_LINES = 64  # enough to rank together, few enough to lose on a kill
AHEAD = 3  # chunks in flight for each worker; bounds the memory
LONGEST_LINE = 600_000  # bytes; longer than any case that is accepted


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
    rules: Path | None = None,
    resume: bool = False,
    progress: Callable[[int], None] = lambda lines: None,
) -> BatchSummary:
    """Diagnose every line of `source` into `target`.

    Args:
        workers: processes; 1 works in this one.    resume: go on from an earlier part instead of refusing to.
        progress: called with the number of lines done after each chunk.

    Raises:
        UsageRefused: no such file, the target exists, a part is there and `resume` is not asked for, or the part was
            made from other rules.
        OSError: reading or writing failed; the part stays as it is.
    """
    if target.exists():
        raise UsageRefused(f"{target} exists; name another file or delete it")
    if workers < 1:
        raise UsageRefused(f"{workers} workers; at least 1 is needed")
    part = target.with_name(target.name + ".part")
    done, errors = _resumed(part, resume, rules) if part.exists() else (0, 0)
    try:
        with open(source, "rb") as lines, open(part, "ab") as output:
            total, more_errors = done, errors
            for results in results_in_order(file_chunks(lines, done), workers, rules):
                output.write(b"".join(result + b"\n" for result in results))
                output.flush()
                total += len(results)
                more_errors += sum(is_error(result) for result in results)
                progress(total)
            os.fsync(output.fileno())
    except FileNotFoundError:
        raise UsageRefused(f"{source}: no such file; name a file with one JSON case a line") from None
    os.replace(part, target)
    return BatchSummary(total, more_errors, done)


def is_error(result: bytes) -> bool:
    """Whether a line of output is an error."""
    return b'"error":' in result[:40]  # stands right behind the line's number


def _resumed(part: Path, resume: bool, rules: Path | None) -> tuple[int, int]:
    """Complete lines in the part and errors among them, after cutting off a line that was not finished."""
    if not resume:
        raise UsageRefused(f"{part} is there from a run that did not end; go on with --resume or delete it")
    from saltriage.knowledge import load_knowledge

    fingerprint = load_knowledge(rules).fingerprint
    lines = errors = complete = 0
    with open(part, "rb") as file:
        for line in file:
            if not line.endswith(b"\n"):
                break
            if not lines or not lines % 1000:
                _refuse_other_rules(line, fingerprint, part)
            lines += 1
            complete += len(line)
            errors += is_error(line)
    os.truncate(part, complete)
    return lines, errors


def _refuse_other_rules(line: bytes, fingerprint: str, part: Path) -> None:
    found = json.loads(line)
    if found.get("fingerprint", fingerprint) != fingerprint:
        raise UsageRefused(f"{part} was made with other rules; delete it and start anew")


def file_chunks(lines: BinaryIO, skip: int) -> Iterator[list[Line]]:
    """The lines behind the first `skip`, in chunks."""
    chunk: list[Line] = []
    number = 0
    while text := lines.readline(LONGEST_LINE + 1):
        number += 1
        while len(text) > LONGEST_LINE and not text.endswith(b"\n"):
            rest = lines.readline(LONGEST_LINE)  # a line this long is refused; its end is only looked for
            text = text[:LONGEST_LINE] + b"\n" if rest.endswith(b"\n") or not rest else text
            if text.endswith(b"\n"):
                break
        if number > skip:
            chunk.append((number, text.rstrip(b"\r\n")))
        if len(chunk) == CHUNK_LINES:
            yield chunk
            chunk = []
    if chunk:
        yield chunk


def results_in_order(chunks: Iterator[list[Line]], workers: int, rules: Path | None) -> Iterator[list[bytes]]:
    """Results chunk by chunk in the order of the input; at most AHEAD chunks for each worker are on their way."""
    if workers == 1:
        for chunk in chunks:
            yield diagnosed_lines(chunk, rules)
        return
    # Workers start afresh: a forked copy of a running rule engine or thread is not safe to use.
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        waiting: deque[Future[list[bytes]]] = deque()
        for chunk in chunks:
            waiting.append(pool.submit(diagnosed_lines, chunk, rules))
            if len(waiting) >= AHEAD * workers:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()
