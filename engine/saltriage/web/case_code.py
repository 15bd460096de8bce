"""A case as one word to copy: what an owner hands to support where a file is too much trouble. Nothing is stored."""

import base64
import json
import zlib
from collections.abc import Mapping
from typing import Any

__all__ = ["PREFIX", "case_of", "code_of"]

PREFIX = "ST1."
_MOST_BYTES = 400_000  # of the case inside; the strict readers of cases take 512 kB


def code_of(case: Mapping[str, Any]) -> str:
    """The case, packed (RFC 1950) and written in letters, digits, - and _ (RFC 4648, section 5).

    >>> case_of(code_of({"symptoms": {"foam": "yes"}}))
    '{"symptoms":{"foam":"yes"}}'
    """
    text = json.dumps(case, ensure_ascii=False, separators=(",", ":"))
    return PREFIX + base64.urlsafe_b64encode(zlib.compress(text.encode(), 9)).decode().rstrip("=")


def case_of(code: str) -> str:
    """The text of the case file inside a code; blanks and line ends that a message put in are left out.

    Raises: ValueError: it is no such code, or was cut off.
    """
    word = "".join(code.split())
    if not word.startswith(PREFIX):
        raise ValueError("no code of a case")
    body = word.removeprefix(PREFIX)
    try:
        packed = base64.b64decode(body + "=" * (-len(body) % 4), altchars=b"-_", validate=True)
        unpacker = zlib.decompressobj()
        text = unpacker.decompress(packed, _MOST_BYTES)
        if not unpacker.eof:
            raise ValueError("the code is cut off, or holds too much")
        return text.decode("utf-8")
    except (ValueError, zlib.error) as reason:
        raise ValueError(f"the code cannot be read: {reason}") from None
