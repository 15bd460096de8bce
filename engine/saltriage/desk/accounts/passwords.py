"""Passphrases: which are taken, and how they are kept.

Length counts, and nothing else is demanded: at least 15 signs where a password alone opens the door, no rules for
capitals or digits, no change by the calendar, long ones and every sign allowed, known bad ones refused (NIST SP
800-63B-4 and OWASP Authentication Cheat Sheet, from memory). Kept by Argon2id with the second recommended choice of
RFC 9106 (section 4: 64 MiB, 3 rounds, 4 lanes), more than the least of OWASP's Password Storage Cheat Sheet (from
memory).
"""

import unicodedata
from dataclasses import dataclass
from functools import cached_property

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from argon2.profiles import CHEAPEST, RFC_9106_LOW_MEMORY

from saltriage.errors import UsageRefused

__all__ = ["LEAST_SIGNS", "MOST_SIGNS", "Passwords", "refuse_weak"]

LEAST_SIGNS = 15
MOST_SIGNS = 256  # NIST asks for at least 64 (from memory); none is cut off
_LEAST_DIFFERENT = 6
_RUNS = (
    "abcdefghijklmnopqrstuvwxyz" * 2,
    "0123456789" * 9,
    "qwertyuiopasdfghjklzxcvbnm",
    "qwertzuiopasdfghjklyxcvbnm",
)
_GUESSED_FIRST = ("password", "passphrase", "letmein", "welcome", "qwerty", "saltriage", "changeme", "support", "pool")


@dataclass(frozen=True)
class Passwords:
    """Keeps and compares passwords.

    Args: is_cheap: for tests, which make hundreds; no command sets it, and a hash made so is made anew at login.
    """

    is_cheap: bool = False

    @cached_property
    def _hasher(self) -> PasswordHasher:
        return PasswordHasher.from_parameters(CHEAPEST if self.is_cheap else RFC_9106_LOW_MEMORY)

    @cached_property
    def nobodys(self) -> str:
        """A hash that no password has, so that looking for a name that nobody has takes as long."""
        return self._hasher.hash("\x00 of nobody, as no typed password holds this sign")

    def hashed(self, password: str) -> str:
        """What is kept of it."""
        return self._hasher.hash(_normal(password))

    def matches(self, kept: str, password: str) -> bool:
        """Whether it is the one; takes as long either way."""
        try:
            return self._hasher.verify(kept, _normal(password))
        except (VerificationError, InvalidHashError):
            return False

    def is_outdated(self, kept: str) -> bool:
        """Whether it was kept with other parameters than today's."""
        return self._hasher.check_needs_rehash(kept)


def _normal(password: str) -> bytes:
    """The same bytes from every keyboard (NFKC, NIST SP 800-63B, from memory)."""
    return unicodedata.normalize("NFKC", password).encode("utf-8", "surrogatepass")


def refuse_weak(password: str, name: str) -> None:
    """Raises: UsageRefused: it would soon be guessed; says why and what to do."""
    plain = unicodedata.normalize("NFKC", password)
    reason = ""
    if len(plain) < LEAST_SIGNS:
        reason = (
            f"has {len(plain)} signs, and {LEAST_SIGNS} are the least: nothing else stands between a stranger and the "
            "names and numbers of callers"
        )
    elif len(plain) > MOST_SIGNS:
        reason = f"has {len(plain)} signs; {MOST_SIGNS} are the most"
    elif any(unicodedata.category(sign) in ("Cc", "Cs") for sign in plain):
        reason = "holds signs that cannot be typed"
    elif len(set(plain.casefold())) < _LEAST_DIFFERENT:
        reason = f"has fewer than {_LEAST_DIFFERENT} different signs"
    elif _is_guessed(plain.casefold(), name.casefold()):
        reason = "is among those that are tried first: a known word, a name or a row of keys, and little else"
    if reason:
        raise UsageRefused(f"the passphrase {reason}. Take four or five words that do not belong together")


def _is_guessed(plain: str, name: str) -> bool:
    """Whether little is left of it without what is guessed first."""
    left = plain
    for each in sorted((*_GUESSED_FIRST, *((name,) if len(name) > 2 else ())), key=len, reverse=True):
        left = left.replace(each, "")
    left = "".join(sign for sign in left if not sign.isspace() and sign not in ".-_!?")
    if len({*left}) < 4 or len(left) < LEAST_SIGNS // 2 - 1:
        return True
    if any(left in run or left in run[::-1] for run in _RUNS):
        return True
    piece = (plain + plain).find(plain, 1)  # how long it is, where all of it is one piece again and again
    return piece < min(LEAST_SIGNS, len(plain))
