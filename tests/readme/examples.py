"""The README with its examples filled in from the files and commands that they name.

python tests/readme/examples.py      writes README.md anew
"""

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"
_MARK = re.compile(r"^<!-- (example|output): ([^\n]+?) -->\n(?:```\w*\n(?:(?!```).*\n)*```\n)?", re.MULTILINE)


def filled(text: str) -> str:
    """The text with every block behind an `example:` or `output:` mark as the file or command gives it now."""
    return _MARK.sub(_block, text)


def _block(mark: re.Match[str]) -> str:
    kind, what = mark.groups()
    if kind == "example":
        language, content = "yaml", (ROOT / what).read_text(encoding="utf-8")
    else:
        language, content = "text", output(what)
    return f"<!-- {kind}: {what} -->\n```{language}\n{content.rstrip()}\n```\n"


def output(command: str) -> str:
    """What a `saltriage` command prints, run from the checkout."""
    words = shlex.split(command)
    assert words[0] == "saltriage", command
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "engine"), "NO_COLOR": "1"}
    printed = subprocess.run(
        [sys.executable, "-m", *words], cwd=ROOT, env=environment, check=True, capture_output=True, text=True
    ).stdout
    # The fingerprint changes with every rule; the rest of an example only where a caller would see it.
    return re.sub(r"^(Knowledge \S+), [0-9a-f]{12}", r"\1, (fingerprint)", printed, flags=re.MULTILINE)


if __name__ == "__main__":
    README.write_text(filled(README.read_text(encoding="utf-8")), encoding="utf-8")
