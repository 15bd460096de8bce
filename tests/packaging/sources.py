"""The sources of the project where a build or a hook can do with them what it likes, and commands run on them."""

import os
import shutil
import subprocess
from pathlib import Path

__all__ = ["ROOT", "copied", "done", "run"]

ROOT = Path(__file__).resolve().parents[2]
_BUILT_FROM = (".ci", "engine", "rules", "schemas", "cases", "pyproject.toml", "README.md", "LICENSE")
_CHECKOUT = (*_BUILT_FROM, "DEVELOPERS.md", "CHANGELOG.md", ".gitignore", ".pre-commit-config.yaml",
             ".pre-commit-hooks.yaml")  # fmt: skip


def copied(copy: Path, whole: bool = False) -> Path:
    """A copy of what a wheel is built from, or of a `whole` checkout, without what was compiled."""
    for name in _CHECKOUT if whole else _BUILT_FROM:
        source, target = ROOT / name, copy / name
        if source.is_dir():
            keep = shutil.copy if whole else shutil.copyfile  # a build must not depend on modes, a hook needs them
            shutil.copytree(source, target, ignore=shutil.ignore_patterns("__pycache__"), copy_function=keep)
        else:
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(source, target)
    return copy


def done(command: list[str | Path], at: str | Path | None = None, **changes: str) -> subprocess.CompletedProcess[str]:
    """A command that was run without Python's and the program's own settings."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("PYTHON", "SALTRIAGE", "COV"))}
    return subprocess.run(command, env=kept | changes, capture_output=True, text=True, cwd=at or changes.get("HOME"))


def run(command: list[str | Path], at: str | Path | None = None, **changes: str) -> str:
    """Standard output of a command that ends well; what it said where it fails."""
    ended = done(command, at, **changes)
    assert ended.returncode == 0, f"{command}\n{ended.stdout}\n{ended.stderr}"
    return ended.stdout
