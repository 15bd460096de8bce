"""Checks of form: keys, words, numbers, names and places of files. Data only; codes are never used again."""

from saltriage.knowledge.checks.check import Check, Example

__all__ = ["CHECKS"]

CHECKS = (
    Check(
        "R012",
        "unknown-key",
        "A key that is not known here",
        "Keys are closed so that a typing mistake cannot silently switch a part of a rule off.",
        Example("  ayn:", "  any:", at="symptoms/salt-below-band.yaml"),
    ),
    Check(
        "R020",
        "missing-key",
        "A key is missing",
        "The key is obligatory in this place, sometimes because of another key's value.",
        Example("sources: [made-up-practice]\nexplain:", "sources: [made-up-practice]\narea: salt\nexplain:"),
    ),
    Check(
        "R021",
        "wrong-type",
        "A value of another type is needed",
        "For example a list where a number belongs.",
        Example("version: 1.5", "version: 1"),
    ),
    Check(
        "R022",
        "word-not-allowed",
        "A word that is not allowed here",
        "The value is one of a short list of words; the numbers behind them stand in knowledge.yaml.",
        Example("hazard: nnoe", "hazard: none"),
    ),
    Check(
        "R023",
        "number-not-allowed",
        "A number outside what the field can hold",
        "The schema of the field states its limits.",
        Example("relative: 10", "relative: 0.10", at="readings/salt.yaml"),
    ),
    Check(
        "R024",
        "text-form",
        "Text in another form",
        'Ids are lower-case words joined by hyphens; dates are "2026-11-25"; titles are short.',
        Example('changed: "25.11.2026"', 'changed: "2026-11-25"'),
    ),
    Check(
        "R025",
        "too-few",
        "Too few entries, or empty text",
        "The field needs at least this much to be of use.",
        Example("cases: []", "cases: [low-salt-after-rain]"),
    ),
    Check(
        "R026",
        "too-many",
        "Too many entries",
        "The field holds no more than this.",
        Example(
            f"phrases: [{', '.join(f'low salt {n}' for n in range(41))}]",
            "phrases: [low salt light, it says add salt, salt warning is on]",
            at="symptoms/low-salt-warning.yaml",
        ),
    ),
    Check(
        "R027",
        "repeated-entry",
        "An entry stands twice in a list",
        "Keep one of the two.",
        Example("sources: [made-up-practice, made-up-practice]", "sources: [made-up-practice]"),
    ),
    Check(
        "R028",
        "key-not-here",
        "A key that another key rules out",
        "For example a question for a symptom that is only derived, or a condition in a note that is not a stop rule.",
        Example("status: stable\nretired-because: Nobody saw it again.", "status: stable"),
    ),
    Check(
        "R029",
        "condition-form",
        "A condition node of an unknown form",
        "A node has one of the words all, any, not, reading, symptom, doubt, context; a reading has one comparison.",
        Example("when: {reading: salt}", "when: {symptom: strip-was-old}", at="doubts/old-strip.yaml"),
    ),
    Check(
        "R030",
        "schema-line",
        "The first line does not name the schema",
        "With it an editor completes keys: # yaml-language-server: $schema=<path>/schemas/<kind>.schema.json",
        Example("$schema=../../../schemas/symptom.schema.json", "$schema=../../../schemas/cause.schema.json"),
    ),
    Check(
        "R031",
        "key-order",
        "Keys are not in the fixed order",
        "The same order in every file lets a reviewer find things; it is the order of the schema.",
        Example("hazard: none\nwho: owner", "who: owner\nhazard: none"),
        severity="warning",
    ),
    Check(
        "R032",
        "id-not-file-name",
        "The id is not the name of the file",
        "One rule to a file, found by its id.",
        Example("id: salt-low", "id: salt-too-low"),
    ),
    Check(
        "R033",
        "wrong-folder",
        "The file lies in the wrong folder",
        "The folder says what kind of rule it is; causes lie in the folder of their area.",
        Example("area: cell", "area: salt"),
    ),
    Check(
        "R034",
        "nothing-checked",
        "No rules were found",
        "A check that saw nothing has not passed. Is the path right?",
        Example(at="", how="gone"),
    ),
    Check(
        "R035",
        "unexpected-file",
        "A file that is not part of the knowledge base",
        "Rules are .yaml files in the folders of their kind. Anything else would be overlooked.",
        Example("remember the salt", at="notes.txt", how="file"),
    ),
    Check(
        "R036",
        "id-used-twice",
        "Two rules share an id",
        "Ids are unique within a kind and never used again; symptoms and readings share one space of ids.",
        Example("id: salt-too-low", at="causes/power/salt-too-low.yaml", how="file"),
    ),
)
