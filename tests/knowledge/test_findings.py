"""Findings: the five-line text form, order, nearest words."""

from saltriage.knowledge.checks import CHECKS
from saltriage.knowledge.findings import finding_at, in_order, nearest, quoted, words_allowed
from saltriage.knowledge.places import Place


def test_five_line_form():
    """Place, severity, code, name; what was found; the line; a caret under it; what mends it."""
    lines = ("when:", "  all:", "    - reading: salt", "      belwo: 2700")
    finding = finding_at(
        "R012",
        "rules/low-salt.yaml",
        Place(4, 7, 5),
        '"belwo" is not a key here.',
        'Did you mean "below"?',
        lines=lines,
    )

    assert str(finding) == (
        "rules/low-salt.yaml:4:7: error R012 unknown-key\n"
        '  "belwo" is not a key here.\n'
        "      4 |       belwo: 2700\n"
        "                ^^^^^\n"
        '  Did you mean "below"? Page: see DEVELOPERS.md, R012'
    )


def test_long_and_odd_lines_are_shown_safely():
    """A long line is cut around the place, and control characters never reach the screen."""
    line = "x" * 500 + "\x1b[31mred" + "y" * 500
    text = str(finding_at("R005", "a.yaml", Place(1, 501, 3), "Odd.", lines=(line,)))

    shown, marked = text.splitlines()[2:4]
    assert "\x1b" not in text
    assert len(shown) <= 110
    assert shown[marked.index("^") : marked.rindex("^") + 1] == "?[3"


def test_sorted_by_file_and_line_without_repeats():
    """The same finding twice is shown once; files and lines go up."""
    a = finding_at("R020", "a", Place(2, 1), "m")
    b = finding_at("R020", "a", Place(10, 1), "m")
    c = finding_at("R020", "b", Place(1, 1), "m")

    assert [a, b, c] == in_order([c, b, a, b])


def test_nearest_word():
    """The nearest allowed word is offered, nothing where none is near."""
    assert nearest("belwo", ["above", "below"]) == 'Did you mean "below"? '
    assert nearest("qqqq", ["above", "below"]) == ""
    assert nearest("water_cold", ["water-old", "cold-water"]) == 'Did you mean "cold-water"? '


def test_long_lists_are_cut():
    """A list of allowed words shows the first ones and how many more there are."""
    assert words_allowed("Allowed", ["a", "b", "c", "d"], 2) == "Allowed: a, b, and 2 more."


def test_values_as_their_author_writes_them():
    """Values are quoted in YAML words, never as a data structure of ours."""
    assert [quoted(v) for v in (True, None, "a", [1], {}, 2.5)] == [
        "true",
        "nothing",
        '"a"',
        "a list",
        "a mapping",
        "2.5",
    ]


def test_code_table():
    """Codes are unique by name, in order, with text for the manual."""
    assert sorted(CHECKS) == list(CHECKS)
    assert len(CHECKS) == len({check.name for check in CHECKS.values()})
    for code, check in CHECKS.items():
        assert code == check.code
        assert check.severity in ("error", "warning")
        assert check.mend.endswith((".", "?", ".json"))
        assert (
            not {"invalid", "illegal", "please"} & set((check.what + " " + check.mend).lower().split())
            or code == "R060"
        )
