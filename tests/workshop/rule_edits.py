"""Changes to rule files, for tests."""

from pathlib import Path

CALCULATORS = ("salt-to-add", "salt-short-of-band")
"""Those that the good rule set names."""


def change(path: Path, *pairs: tuple[str, str]) -> None:
    """Replaces texts in a file, each of which must be there."""
    text = path.read_text(encoding="utf-8")
    for old, new in pairs:
        assert old in text, f"{old!r} is not in {path}"
        text = text.replace(old, new, 1)
    path.write_text(text, encoding="utf-8")
