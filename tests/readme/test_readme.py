"""README says what the program does today."""

import re
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from examples import README, filled


def test_examples_are_what_the_program_prints() -> None:
    """Every example file and output in README is current; `python tests/readme/examples.py` writes them anew."""
    text = README.read_text(encoding="utf-8")

    assert text == filled(text)


def test_python_examples_run() -> None:
    """The Python block of README runs as it stands."""
    (code,) = re.findall(r"```python\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)

    names: dict[str, object] = {}
    exec(code, names)

    assert 0 < names["result"].causes[0].probability < 1  # type: ignore[attr-defined]


def test_the_case_of_the_manual_loads() -> None:
    """The case file that README explains is accepted as it stands."""
    from saltriage.case import load_case_text

    (text,) = re.findall(r"```yaml\n(case: my-pool.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)

    case = load_case_text(text)
    assert case.symptoms == {"low-salt-warning": True}
    assert case.unknown == {"plates-scaled"}
