"""Files of calls: readable by their owner alone, written whole or not at all, never over another."""

import os
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from saltriage.errors import UsageRefused

__all__ = ["write_lines"]


def write_lines(file: Path, lines: Iterable[str]) -> None:
    """Write text to a new file.

    Raises: UsageRefused: the file is there, or its folder is not.    OSError: it cannot be written; nothing is left.
    """
    if not file.parent.is_dir():
        raise UsageRefused(f"{file.parent}: no such folder; make it, or name another file")
    part = file.with_name(f".{file.name}.{os.getpid()}.part")
    if file.exists():
        raise UsageRefused(f"{file} exists; name another file or delete it")
    try:
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as out:
            out.writelines(lines)
            out.flush()
            os.fsync(out.fileno())
        try:
            os.link(part, file)  # unlike a renaming, never over a file that came meanwhile
        except (PermissionError, NotImplementedError):  # a file system without links, as on sticks
            os.rename(part, file)
    except FileExistsError:
        raise UsageRefused(f"{file} exists; name another file or delete it") from None
    finally:
        with suppress(OSError):
            os.unlink(part)
