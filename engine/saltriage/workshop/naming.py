"""Rules and cases as people name them: by id, or by the file they have just looked at."""

from pathlib import Path

from saltriage.errors import UsageRefused
from saltriage.knowledge.findings import nearest
from saltriage.knowledge.rule_files import case_paths

__all__ = ["case_named", "id_named"]


def id_named(name: str) -> str:
    """The id of a rule that is named by its id or its file: one is the name of the other.

    >>> id_named("rules/causes/salt/salt-too-low.yaml"), id_named("salt-too-low")
    ('salt-too-low', 'salt-too-low')
    """
    return Path(name).stem if name.endswith((".yaml", ".yml")) else name


def case_named(name: str, rules: Path) -> str:
    """The file of a case that is named by its id, as it lies beside the rules; anything else as it is.

    Raises: UsageRefused: an id that no case has.
    """
    if name == "-" or "." in name or "/" in name or Path(name).exists():
        return name
    files = {path.stem: path for path in case_paths(rules.parent / "cases")}
    if name not in files:
        raise UsageRefused(f"{name}: no case has this id, and there is no such file. {nearest(name, files)}".strip())
    return str(files[name])
