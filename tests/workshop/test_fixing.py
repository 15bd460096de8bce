"""`rules fix`: mechanical mistakes are mended, nothing else is touched, and nothing is written unasked."""

import pytest
from rule_edits import CALCULATORS, change

from saltriage.knowledge.findings import Edit, finding_at
from saltriage.knowledge.places import Place
from saltriage.knowledge.rule_files import read_base
from saltriage.workshop.checked import check_rules
from saltriage.workshop.editor_ids import ids_file, ids_text, renew_ids
from saltriage.workshop.fixing import edited, fixed_files, write_fixed

SALT = "causes/salt/salt-too-low.yaml"
KNOWN = frozenset(CALCULATORS)


def fixed(rules, paths=()):
    return fixed_files(rules, paths, KNOWN)


@pytest.mark.parametrize(
    ("at", "old", "new", "code"),
    [
        (SALT, 'changed: "2026-11-25"', "changed: 2026-11-25", "R015"),
        (SALT, "who: owner\nhazard: none", "hazard: none\nwho: owner", "R031"),
        (SALT, "id: salt-too-low", "id: salt-low", "R032"),
        (SALT, "schemas/cause.schema.json", "schemas/symptom.schema.json", "R030"),
        (SALT, "# yaml-language-server: $schema=../../../schemas/cause.schema.json\n", "", "R030"),
        ("safety/lift-with-care.yaml", "with your legs.", "with your legs!", "R060"),
        ("safety/lift-with-care.yaml", "owner: Lift bags", "owner: Please lift bags", "R060"),
        ("safety/lift-with-care.yaml", "- lift in pairs.", "- please lift in pairs.", "R060"),
        ("../cases/reference/salt/low-salt-after-rain.yaml", "case: low-salt-after-rain", "case: low-salt", "R032"),
    ],
)
def test_each_mechanical_mistake_is_mended_as_it_was(rules, at, old, new, code):
    """The file is byte for byte what it was before the mistake."""
    path = rules / at
    before = path.read_text(encoding="utf-8")
    change(path, (old, new))

    (file,) = fixed(rules)

    assert (before, (code,)) == (file.after, file.codes)
    assert before != path.read_text(encoding="utf-8"), "something was written unasked"
    write_fixed([file])
    assert before == path.read_text(encoding="utf-8")


def test_several_mistakes_of_one_file_are_mended_together(rules):
    """Quotes, id and order, one after the other; comments go with the key they stand above."""
    path = rules / SALT
    before = path.read_text(encoding="utf-8").replace("who: owner", "# Nobody else needs to.\nwho: owner")
    path.write_text(before, encoding="utf-8")
    change(
        path, ("# Nobody else needs to.\nwho: owner\nhazard: none", "hazard: none\n# Nobody else needs to.\nwho: owner")
    )
    change(path, ('changed: "2026-11-25"', "changed: 2026-11-25"), ("id: salt-too-low", "id: salt-low"))

    (file,) = fixed(rules)

    assert (before, ("R015", "R031", "R032")) == (file.after, file.codes)


def test_what_needs_thought_is_left_alone(rules):
    """An unknown word beside an unquoted date: the date is mended, the word stays."""
    change(rules / SALT, ("hazard: none", "hazard: nnoe"), ('changed: "2026-11-25"', "changed: 2026-11-25"))

    (file,) = fixed(rules)

    assert "hazard: nnoe" in file.after
    assert 'changed: "2026-11-25"' in file.after


def test_only_named_files_are_mended(rules):
    """The others keep their mistakes."""
    change(rules / SALT, ("id: salt-too-low", "id: salt-low"))
    change(rules / "safety/lift-with-care.yaml", ("with your legs.", "with your legs!"))

    assert [rules / SALT] == [file.path for file in fixed(rules, [rules / "causes"])]
    assert fixed(rules, [rules / "actions"]) == []


def test_the_difference_shows_lines_taken_and_put(rules):
    """As `diff -u` does."""
    change(rules / SALT, ("id: salt-too-low", "id: salt-low"))

    lines = fixed(rules)[0].difference.splitlines()

    assert {"-id: salt-low", "+id: salt-too-low"} <= set(lines)


def test_of_two_changes_that_overlap_the_first_is_made():
    """The other is found again in the changed text."""
    place = Place(1, 1)
    first, second = (
        finding_at("R015", "a.yaml", place, "x"), finding_at("R031", "a.yaml", place, "x"),
    )  # fmt: skip
    from dataclasses import replace

    changes = [replace(first, edit=Edit((1, 1), (1, 3), "AB")), replace(second, edit=Edit((1, 2), (2, 1), "-"))]

    assert edited("abc\nd\n", changes) == "ABc\nd\n"


def test_the_list_of_ids_is_renewed(rules):
    """A rule that it lacks is a finding; mending it lists the rule, as writing a new one does."""
    home = rules.parent
    ids_file(rules).parent.mkdir()
    whole = ids_text(read_base(rules, home / "cases"))
    ids_file(rules).write_text(whole.replace('"salt-too-low",\n', ""), encoding="utf-8")

    found = [each.code for each in check_rules((), rules, known=KNOWN).findings]
    (file,) = fixed(rules)

    assert found == ["R074"]
    assert whole == file.after
    renew_ids(rules, rules / SALT)
    assert whole == ids_file(rules).read_text(encoding="utf-8")
