"""All rule files compiled into one JSON file, so that a diagnosis parses no YAML and checks no schema.

A bundle is a header line and a body. It is believed only if its format, the version of the program, the hash of the
rule files as they lie on disk and the hash of its own body all agree; anything else is as good as no bundle. It is
written only from rules that passed the check, whole or not at all.
"""

import hashlib
import json
import os
import time
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from saltriage import __version__
from saltriage.knowledge.home import NO_RULES, data_folder, is_installed

__all__ = ["Contents", "KnowledgeBundle", "bundle_file", "contents_of", "read_bundle", "shipped_bundle", "write_bundle"]

_FORMAT = 1


@dataclass(frozen=True, slots=True)
class Contents:
    """The rule files as they lie on disk: the hash of each by path below the folder, and of all together."""

    files: Mapping[str, str]
    whole: str


@dataclass(frozen=True, slots=True)
class KnowledgeBundle:
    """What a bundle says: data and hash of each file by path, and the fingerprint of the knowledge."""

    data: Mapping[str, dict[str, Any]]
    hashes: Mapping[str, str]
    fingerprint: str
    whole: str


def contents_of(folder: Path) -> Contents:
    """Hashes of all rule files below a folder; hidden ones, editors' copies and the corpus are left out."""
    hashes: dict[str, str] = {}
    whole = hashlib.sha256()
    for name, path in _files(str(folder), ""):
        digest = hashes[name] = hashlib.sha256(_content(path)).hexdigest()
        whole.update(f"{name}\0{digest}\n".encode("utf-8", "surrogateescape"))
    return Contents(hashes, whole.hexdigest())


def _content(path: str) -> bytes:
    """What a file holds. Without Python's file objects: hundreds of small files are read at every start."""
    file = os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0))
    try:
        content = whole = os.read(file, 1 << 16)
        while content:
            content = os.read(file, 1 << 16)
            whole += content
        return whole
    except OSError as reason:
        raise OSError(reason.errno, reason.strerror, path) from None
    finally:
        os.close(file)


def _files(folder: str, prefix: str) -> list[tuple[str, str]]:
    """Name below the folder and path of every file of rules, sorted by name."""
    found: list[tuple[str, str]] = []
    with os.scandir(folder) as entries:
        for entry in sorted(entries, key=lambda entry: entry.name):
            if entry.name.startswith(".") or entry.name.endswith("~") or entry.name == "__pycache__":
                continue
            if not prefix and entry.name in NO_RULES:
                continue
            if entry.is_dir():
                found += _files(entry.path, f"{prefix}{entry.name}/")
            elif entry.is_file():
                found.append((prefix + entry.name, entry.path))
    return found


def bundle_file(folder: Path) -> Path:
    """Where the bundle of a folder is kept: in $SALTRIAGE_CACHE, $XDG_CACHE_HOME/saltriage or ~/.cache/saltriage."""
    own = os.environ.get("SALTRIAGE_CACHE")
    shared = os.environ.get("XDG_CACHE_HOME")
    home = Path(own) if own else (Path(shared) if shared else Path(os.path.expanduser("~")) / ".cache") / "saltriage"
    name = hashlib.sha256(os.fsencode(os.path.realpath(folder))).hexdigest()[:16]
    return home / f"rules-{name}.json"


def shipped_bundle() -> Path | None:
    """The bundle that ships inside an installed package, where there is one."""
    return data_folder("rules").parent / "rules.bundle.json" if is_installed() else None


def read_bundle(path: Path, whole: str | None = None) -> KnowledgeBundle | None:
    """The bundle in a file; None if it is not there, damaged, of another program, or not of these rules.

    Args:
        whole: hash of all rule files as they should be; None takes a bundle of an earlier state as well.
    """
    try:
        header, _, body = path.read_bytes().partition(b"\n")
        told = json.loads(header)
        if told != _header(told["whole"], body) or whole not in (None, told["whole"]):
            return None
        content = json.loads(body)
        return KnowledgeBundle(content["data"], content["hashes"], content["fingerprint"], told["whole"])
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None


def write_bundle(path: Path, bundle: KnowledgeBundle) -> bool:
    """Writes a bundle, whole or not at all; False where the place cannot be written to."""
    content = {"data": dict(bundle.data), "hashes": dict(bundle.hashes), "fingerprint": bundle.fingerprint}
    body = json.dumps(content, separators=(",", ":"), allow_nan=False).encode()
    header = json.dumps(_header(bundle.whole, body), separators=(",", ":")).encode()
    from saltriage.knowledge.whole_file import write_whole

    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, header + b"\n" + body)
    except OSError:
        return False
    _sweep(path)
    return True


def _sweep(path: Path) -> None:
    """Remove what killed processes left behind: parts of this bundle that nobody has written to for an hour."""
    with suppress(OSError):
        for part in path.parent.glob(f"{path.name}*.part"):
            if abs(time.time() - part.stat().st_mtime) > 3600.0:
                part.unlink()


def _header(whole: str, body: bytes) -> dict[str, object]:
    return {"format": _FORMAT, "saltriage": __version__, "whole": whole, "body": hashlib.sha256(body).hexdigest()}
