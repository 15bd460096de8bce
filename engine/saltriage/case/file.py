"""Case -> case file. By itself: what writes files takes longer to import than a case to read."""

import json
from pathlib import Path

import yaml

from saltriage.case.reported import Reported
from saltriage.case.saving import case_to_data
from saltriage.knowledge.whole_file import write_whole

__all__ = ["save_case"]


def save_case(case: Reported, path: Path) -> None:
    """Write a case file: JSON where the name ends so, else YAML. Whole or not at all.

    Raises: OSError: the file cannot be written; what was there before still is.
    """
    data = case_to_data(case)
    if path.suffix == ".json":
        text = json.dumps(data, ensure_ascii=False, indent=2) + "\n"
    else:
        text = yaml.safe_dump(data, sort_keys=False, allow_unicode=True, width=100)
    write_whole(path, text.encode())
