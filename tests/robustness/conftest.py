"""Robustness tests draw their cases as the batch tests do."""

import sys
from pathlib import Path

sys.path.append(str(Path(__file__).resolve().parents[1] / "batch"))
