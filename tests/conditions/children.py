"""Runs Python in a child process: for what may hang, crash or take memory, and for what must not touch this process."""

import os
import subprocess
import sys
import textwrap
from pathlib import Path

ENGINE = Path(__file__).parents[2] / "engine"


def child(code: str, *, seconds: float = 60, **environment: str) -> str:
    """What the code prints; the test fails if it does not end well in time."""
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", textwrap.dedent(code)],
        env={**os.environ, "PYTHONPATH": f"{ENGINE}{os.pathsep}{Path(__file__).parent}", **environment},
        capture_output=True,
        text=True,
        timeout=seconds,
        check=False,
    )
    assert done.returncode == 0, f"child ended with {done.returncode}:\n{done.stdout}\n{done.stderr}"
    return done.stdout.strip()
