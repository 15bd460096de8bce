"""Reads the tables of checked values under tests/outside/data; each file names its own source in its header."""

import csv
from pathlib import Path

from saltriage.pool.water import Water

DATA = Path(__file__).parent / "data"


def table_rows(name: str) -> list[dict[str, str]]:
    """Rows of one table without its comment lines."""
    with (DATA / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def start_water(row: dict[str, str]) -> Water:
    """The water a row of doses.csv or targets.csv starts from."""
    return Water(
        ph=float(row["pH0"]),
        total_alkalinity=float(row["TA0"]),
        calcium_hardness=float(row["CH0"]),
        cyanuric_acid=float(row["CYA0"]),
        borate=float(row.get("borate0_as_B") or row.get("borate_as_B") or 0),
        salt=float(row.get("NaCl0") or row.get("NaCl") or 0),
        free_chlorine=float(row.get("FC0_as_Cl2") or 0),
        temperature=float(row["T_C"]),
    )
