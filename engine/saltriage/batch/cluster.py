"""The same on more than one machine, by Dask's scheduler: pip install 'saltriage[cluster]'.

    from dask.distributed import Client
    with Client("scheduler:8786") as client:
        run_on_cluster(client, Path("in.ndjson"), Path("out.ndjson"))

Every worker needs Saltriage installed in the same version; a run over workers with other rules is refused.
"""

import os
from collections import deque
from pathlib import Path
from typing import Any

from saltriage.batch.lines import diagnosed_lines, knowledge_of
from saltriage.batch.run import BatchSummary, file_chunks, is_error, opened, refuse_target
from saltriage.errors import UsageRefused

__all__ = ["run_on_cluster"]

AHEAD = 200  # chunks on their way at once; bounds what the client holds


def fingerprint_here() -> str:
    """Fingerprint of the knowledge on this machine."""
    return knowledge_of(None).fingerprint


def run_on_cluster(client: Any, source: Path, target: Path) -> BatchSummary:
    """Diagnose every line of `source` into `target`, in order, on the workers of a Dask client.

    Raises: UsageRefused: the target exists, or workers have other rules than this machine.
    """
    refuse_target(target)
    others = {worker for worker, found in client.run(fingerprint_here).items() if found != fingerprint_here()}
    if others:
        raise UsageRefused(f"other rules on {', '.join(sorted(others))}; install the same version everywhere")
    part = target.with_name(target.name + ".part")
    total = errors = 0
    waiting: deque[Any] = deque()
    with opened(source) as lines, open(part, "wb") as output:

        def write(results: list[bytes]) -> None:
            nonlocal total, errors
            output.write(b"".join(each + b"\n" for each in results))
            total += len(results)
            errors += sum(is_error(each) for each in results)

        for chunk in file_chunks(lines, 0):
            waiting.append(client.submit(diagnosed_lines, chunk, pure=False))
            if len(waiting) >= AHEAD:
                write(waiting.popleft().result())
        while waiting:
            write(waiting.popleft().result())
    os.replace(part, target)
    return BatchSummary(total, errors, 0)
