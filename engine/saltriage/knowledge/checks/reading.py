"""Checks of how a file is read. Data only; codes are never used again."""

from saltriage.knowledge.checks.check import Check, Example

__all__ = ["CHECKS"]

CHECKS = (
    Check(
        "R001",
        "not-readable",
        "The file cannot be read",
        "It is not there, is not a file, or may not be read by you. Check its path and permissions.",
        Example(at="symptoms/water-cold.yaml", how="link"),
    ),
    Check(
        "R002",
        "not-utf8",
        "The file is not UTF-8 text",
        "Some editors still save in an older encoding. Save it again as UTF-8.",
        Example(
            "owner: Ein Gerät ohne Salz.",
            "owner: The water holds too little salt for the cell to make chlorine.",
            encoding="latin-1",
        ),
    ),
    Check(
        "R003",
        "too-large",
        "The file is too large",
        "A rule has about 3 kB and a case less; anything past the limit is not one of them.",
        Example("# salt " * 100_000 + "\narea: salt", "area: salt"),
    ),
    Check(
        "R004",
        "too-deep",
        "The file is nested too deeply",
        "Rules and cases are flat; deep nesting comes from a mistake or is meant to exhaust the reader.",
        Example(
            "area: [[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]",
            "area: salt",
        ),
    ),
    Check(
        "R005",
        "yaml-syntax",
        "The file is not YAML",
        "Most often an indent that does not match the lines around it, a colon in unquoted text, or an open bracket.",
        Example("by: [salt, salt-below-band", "by: [salt, salt-below-band]"),
    ),
    Check(
        "R006",
        "tab",
        "A tab character",
        "Tabs look different in every editor. Indent by two spaces a level.",
        Example("explain:\n\towner:", "explain:\n  owner:"),
    ),
    Check(
        "R007",
        "duplicate-key",
        "A key stands twice in one mapping",
        "Other readers silently keep the last one. Keep the one that is meant.",
        Example("who: owner\nwho: owner", "who: owner"),
    ),
    Check(
        "R008",
        "anchor-or-alias",
        "An anchor or alias",
        "A reader of the rule should not have to jump. Write the value out where it is needed.",
        Example("area: &area salt", "area: salt"),
    ),
    Check(
        "R009",
        "tag-or-directive",
        "A YAML tag or directive",
        "Types follow from how a value is written: text in quotes, numbers plain.",
        Example("area: !!str salt", "area: salt"),
    ),
    Check(
        "R010",
        "merge-key",
        "A merge key",
        "Keys that come from elsewhere cannot be reviewed. Write them out.",
        Example("explain:\n  <<: {a: b}", "explain:"),
    ),
    Check(
        "R011",
        "one-document",
        "Not exactly one document",
        "A file holds one mapping, neither nothing nor several documents.",
        Example("hazard: none\n---\nmore: rules", "hazard: none"),
    ),
    Check(
        "R013",
        "key-not-text",
        "A key that is not text",
        "Numbers, true, null, lists and mappings cannot be keys; put the key in quotes if it is text.",
        Example("12: none", "hazard: none"),
    ),
    Check(
        "R014",
        "number-form",
        "A number in an odd form",
        "Leading zeros, octal, hexadecimal, infinite and not-a-number are read differently by different readers.",
        Example("version: 01", "version: 1"),
    ),
    Check(
        "R015",
        "quote-needed",
        "Text that needs quotes",
        "Other YAML readers do not take yes, no, on, off, dates and 12:30 for text. Truth values are true and false.",
        Example("changed: 2026-11-25", 'changed: "2026-11-25"'),
    ),
    Check(
        "R016",
        "json-syntax",
        "The file is not JSON",
        "Most often a comma too many or too few, or single quotes.",
        Example('{"case": "burnt-box",}', at="cases/reference/salt/other.json", how="file"),
    ),
)
