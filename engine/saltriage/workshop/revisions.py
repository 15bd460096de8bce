"""Rules and cases of an earlier state: a git revision, or a folder that holds rules/ and cases/."""

import subprocess
import tarfile
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

from saltriage.errors import UsageRefused

__all__ = ["changed_files", "history", "state"]

_PARTS = ("rules", "cases")
_TREE = (*_PARTS, "schemas")  # rules are held against the schemas of their own time


def changed_files(revision: str, checkout: Path) -> list[Path]:
    """Files of rules and cases that differ from a revision, those not yet known to git among them; sorted.

    Args: checkout: the folder that holds rules/ and cases/.
    Raises: UsageRefused: git is not there, the folder is no checkout, or there is no such revision.
    """
    named = _git(checkout, "diff", "--name-only", "--relative", "-z", _known(revision, checkout), "--", *_PARTS)
    new = _git(checkout, "ls-files", "--others", "--exclude-standard", "-z", "--", *_PARTS)
    names = {name.decode("utf-8", "surrogateescape") for name in (named + new).split(b"\0") if name}
    return [checkout / name for name in sorted(names)]


def history(file: Path) -> tuple[str, ...]:
    """Date and subject of every change of a file, newest first; empty outside a checkout."""
    try:
        told = _git(file.parent, "log", "--follow", "--format=%as %s", "--", file.name)
    except UsageRefused:
        return ()
    return tuple(told.decode("utf-8", "replace").splitlines())


@contextmanager
def state(name: str, checkout: Path) -> Iterator[Path]:
    """A folder that holds rules/, and cases/ and schemas/ where there are any: the one named, or a revision unpacked.

    Raises: UsageRefused: neither a folder of rules nor a revision has that name.
    """
    folder = Path(name)
    if (folder / "rules" / "knowledge.yaml").is_file():
        yield folder
        return
    if folder.is_dir():
        raise UsageRefused(f"{name}: the folder holds no rules/knowledge.yaml")
    revision = _known(name, checkout)
    there = _git(checkout, "ls-tree", "--name-only", "-z", revision, "--", *_TREE).decode().split("\0")
    if "rules" not in there:
        raise UsageRefused(f"{name}: the revision holds no rules/")
    archive = _git(checkout, "archive", "--format=tar", revision, *filter(None, there))
    with TemporaryDirectory(prefix="saltriage-") as place:
        with tarfile.open(fileobj=BytesIO(archive)) as packed:
            packed.extractall(place, filter="data")
        yield Path(place)


def _known(revision: str, checkout: Path) -> str:
    """The full name of a revision. The text comes from a command line, so it may not pass for an option."""
    if revision.startswith("-"):
        raise UsageRefused(f"{revision}: neither a folder of rules nor a git revision")
    try:
        return _git(checkout, "rev-parse", "--verify", "--quiet", f"{revision}^{{commit}}").decode().strip()
    except UsageRefused as reason:
        if "git" in str(reason).split(":")[0]:
            raise
        raise UsageRefused(f"{revision}: neither a folder of rules nor a git revision of {checkout}") from None


def _git(checkout: Path, *arguments: str) -> bytes:
    try:
        done = subprocess.run(["git", "-C", str(checkout), *arguments], capture_output=True, check=False)
    except FileNotFoundError:
        raise UsageRefused("git: not found; name folders instead of revisions") from None
    if done.returncode:
        told = done.stderr.decode("utf-8", "replace").strip().splitlines()
        raise UsageRefused(f"{checkout}: {told[0] if told else 'no answer to ' + arguments[0]}")
    return done.stdout
