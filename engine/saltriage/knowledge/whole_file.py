"""Files written whole or not at all: whatever happens in between, the old content or the new one is there."""

import os
import tempfile
from contextlib import suppress
from pathlib import Path

__all__ = ["write_whole"]


def write_whole(path: Path, content: bytes) -> None:
    """Write a file beside its place, push it to the disk, and give it its name in one step.

    Raises: OSError: the folder is missing, full or not to be written to; what was there before still is.
    """
    handle, written = tempfile.mkstemp(dir=path.parent, prefix=path.name, suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(written, 0o666 & ~_mask())  # a temporary file is readable by its owner alone
        os.replace(written, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(written)
        raise


def _mask() -> int:
    """The process's file mode mask, which can only be read by setting it."""
    mask = os.umask(0o077)
    os.umask(mask)
    return mask
