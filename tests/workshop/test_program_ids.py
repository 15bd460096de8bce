"""The program names no rule but the readings that physics needs."""

from pathlib import Path

import pytest

from saltriage.knowledge import ids
from saltriage.knowledge.home import data_folder
from saltriage.knowledge.rule_files import Base, read_base
from saltriage.workshop.program_ids import program_findings


@pytest.fixture(scope="module")
def base() -> Base:
    return read_base(data_folder("rules"), None)


def package(folder: Path, module: str, more: str = "") -> Path:
    """A package of one module beside the list of ids; `more` is written at the end of the list."""
    (folder / "knowledge").mkdir()
    listed = Path(ids.__file__).read_text(encoding="utf-8")
    (folder / "knowledge" / "ids.py").write_text(listed + more, encoding="utf-8")
    (folder / "advise").mkdir()
    (folder / "advise" / "module.py").write_text(module, encoding="utf-8")
    return folder


def test_the_program_names_only_what_physics_needs(base: Base) -> None:
    assert list(program_findings(base)) == []


@pytest.mark.parametrize(
    ("module", "id", "column"),
    [
        ('LOOK = {"pump-dead": "pump"}\n', "pump-dead", 9),
        ('NEEDED = ("ph", "pool-volume")\n', "pool-volume", 17),
        ('truth = truths["action.add-salt.requires"]\n', "add-salt", 16),
        ('if "cell-clogged" in chances:\n    pass\n', "cell-clogged", 4),
        ('DEFAULT = "unknown-unit"\n', "unknown-unit", 11),
    ],
)
def test_an_id_is_found_where_it_stands(base: Base, tmp_path: Path, module: str, id: str, column: int) -> None:
    """Ids of symptoms, readings, actions, causes and profiles, at line and column."""
    (found,) = program_findings(base, package(tmp_path, module))

    assert (found.code, found.line, found.column) == ("R069", 1, column)
    assert f'"{id}"' in found.message
    assert found.file.endswith("advise/module.py")


@pytest.mark.parametrize(
    "module", ['"""The pump-dead sign."""\n', 'WORDS = ("salt", "chlorine", "soda-ash")\n', "x = 1\n"]
)
def test_words_that_are_no_ids_pass(base: Base, tmp_path: Path, module: str) -> None:
    """A sentence, a chemical, a module without strings."""
    assert list(program_findings(base, package(tmp_path, module))) == []


def test_a_name_without_a_rule_is_found(base: Base, tmp_path: Path) -> None:
    """The list is held against the rules, with what was probably meant."""
    (found,) = program_findings(base, package(tmp_path, "", 'FLOW = "flow-rat"\n'))

    assert (found.code, found.column) == ("R075", 8)
    assert "flow-rate" in found.mend
