"""Keeping an interview in a file, whole or not at all."""

import os
from pathlib import Path

from saltriage.interview import Interview
from saltriage.interview.saved import saved_text

__all__ = ["Keeper", "default_path"]


class Keeper:
    """Writes the interview to one file. Args: eager: after every answer, not only at the end."""

    def __init__(self, path: Path, eager: bool) -> None:
        self.path, self._eager = path, eager

    def note(self, interview: Interview) -> None:
        """After an answer."""
        if self._eager:
            self.keep(interview)

    def keep(self, interview: Interview) -> Path:
        """Write it now; the old file stays until the new one is whole."""
        unfinished = self.path.with_name(f".{self.path.name}.part")
        unfinished.write_text(saved_text(interview), encoding="utf-8")
        os.replace(unfinished, self.path)
        return self.path


def default_path(folder: Path) -> Path:
    """A file in the folder that is not there yet."""
    path = folder / "saltriage-interview.yaml"
    number = 1
    while path.exists():
        number += 1
        path = folder / f"saltriage-interview-{number}.yaml"
    return path
