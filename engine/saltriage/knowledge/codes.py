"""Every check of the knowledge base: its stable code, name, severity and what its page in the manual says.

A code is never reused. Data only; the checks themselves stand in the modules beside this one.
"""

from dataclasses import dataclass
from typing import Literal

__all__ = ["CHECKS", "Check", "Severity"]

Severity = Literal["error", "warning"]


@dataclass(frozen=True, slots=True)
class Check:
    """One check; `title` says what is wrong, `page` why it matters and how to mend it."""

    code: str
    name: str
    severity: Severity
    title: str
    page: str


def _table(*rows: tuple[str, str, Severity, str, str]) -> dict[str, Check]:
    return {row[0]: Check(*row) for row in rows}


CHECKS = _table(
    ("R001", "not-readable", "error", "The file cannot be read",
     "It is not there, is not a file, or may not be read by you. Check its path and permissions."),
    ("R002", "not-utf8", "error", "The file is not UTF-8 text",
     "Some editors still save in an older encoding. Save it again as UTF-8."),
    ("R003", "too-large", "error", "The file is too large",
     "A rule has about 3 kB and a case less; anything past the limit is not one of them."),
    ("R004", "too-deep", "error", "The file is nested too deeply",
     "Rules and cases are flat; deep nesting comes from a mistake or is meant to exhaust the reader."),
    ("R005", "yaml-syntax", "error", "The file is not YAML",
     "Most often an indent that does not match the lines around it, a colon in unquoted text, or an open bracket."),
    ("R006", "tab", "error", "A tab character",
     "Tabs look different in every editor. Indent by two spaces a level."),
    ("R007", "duplicate-key", "error", "A key stands twice in one mapping",
     "Other readers silently keep the last one. Keep the one that is meant."),
    ("R008", "anchor-or-alias", "error", "An anchor or alias",
     "A reader of the rule should not have to jump. Write the value out where it is needed."),
    ("R009", "tag-or-directive", "error", "A YAML tag or directive",
     "Types follow from how a value is written: text in quotes, numbers plain."),
    ("R010", "merge-key", "error", "A merge key",
     "Keys that come from elsewhere cannot be reviewed. Write them out."),
    ("R011", "one-document", "error", "Not exactly one document",
     "A file holds one mapping, neither nothing nor several documents."),
    ("R012", "unknown-key", "error", "A key that is not known here",
     "Keys are closed so that a typing mistake cannot silently switch a part of a rule off."),
    ("R013", "key-not-text", "error", "A key that is not text",
     "Numbers, true, null, lists and mappings cannot be keys; put the key in quotes if it is text."),
    ("R014", "number-form", "error", "A number in an odd form",
     "Leading zeros, octal, hexadecimal, infinite and not-a-number are read differently by different readers."),
    ("R015", "quote-needed", "error", "Text that needs quotes",
     "Other YAML readers do not take yes, no, on, off, dates and 12:30 for text. Truth values are true and false."),
    ("R016", "json-syntax", "error", "The file is not JSON",
     "Most often a comma too many or too few, or single quotes."),
    ("R020", "missing-key", "error", "A key is missing",
     "The key is obligatory in this place, sometimes because of another key's value."),
    ("R021", "wrong-type", "error", "A value of another type is needed",
     "For example a list where a number belongs."),
    ("R022", "word-not-allowed", "error", "A word that is not allowed here",
     "The value is one of a short list of words; the numbers behind them stand in knowledge.yaml."),
    ("R023", "number-not-allowed", "error", "A number outside what the field can hold",
     "The schema of the field states its limits."),
    ("R024", "text-form", "error", "Text in another form",
     "Ids are lower-case words joined by hyphens; dates are \"2026-11-25\"; titles are short."),
    ("R025", "too-few", "error", "Too few entries, or empty text", "The field needs at least this much to be of use."),
    ("R026", "too-many", "error", "Too many entries", "The field holds no more than this."),
    ("R027", "repeated-entry", "error", "An entry stands twice in a list", "Keep one of the two."),
    ("R028", "key-not-here", "error", "A key that another key rules out",
     "For example a question for a symptom that is only derived, or a condition in a note that is not a stop rule."),
    ("R029", "condition-form", "error", "A condition node of an unknown form",
     "A node has one of the words all, any, not, reading, symptom, doubt, context; a reading has one comparison."),
    ("R030", "schema-line", "error", "The first line does not name the schema",
     "With it an editor completes keys: # yaml-language-server: $schema=<path>/schemas/<kind>.schema.json"),
    ("R031", "key-order", "warning", "Keys are not in the fixed order",
     "The same order in every file lets a reviewer find things; it is the order of the schema."),
    ("R032", "id-not-file-name", "error", "The id is not the name of the file", "One rule to a file, found by its id."),
    ("R033", "wrong-folder", "error", "The file lies in the wrong folder",
     "The folder says what kind of rule it is; causes lie in the folder of their area."),
    ("R034", "nothing-checked", "error", "No rules were found",
     "A check that saw nothing has not passed. Is the path right?"),
    ("R035", "unexpected-file", "error", "A file that is not part of the knowledge base",
     "Rules are .yaml files in the folders of their kind. Anything else would be overlooked."),
    ("R036", "id-used-twice", "error", "Two rules share an id",
     "Ids are unique within a kind and never used again; symptoms and readings share one space of ids."),
    ("R040", "unknown-id", "error", "An id that no rule has",
     "A rule refers to a symptom, reading, cause, action, doubt, safety note or profile that is not there."),
    ("R041", "unknown-source", "error", "A source that sources.yaml does not list",
     "Every rule and number says where it comes from."),
    ("R042", "unknown-case", "error", "A case that is not under cases/reference",
     "Every rule is tied to a reference case that fails without it."),
    ("R043", "retired-id", "error", "A retired rule is still referred to", "Refer to the rule that takes its place."),
    ("R045", "circular", "error", "Derived symptoms depend on each other in a circle",
     "None of them could ever be settled. Take one reference out."),
    ("R046", "doubt-on-derived", "error", "A condition uses what is not yet settled at that point",
     "Doubts are settled before symptoms are derived, so they use readings, asked symptoms and contexts only."),
    ("R047", "unit-mismatch", "error", "A number in another unit than its reading",
     "Thresholds use the canonical unit of their reading; two readings compared have the same unit."),
    ("R048", "threshold-out-of-range", "error", "A threshold the reading can never reach",
     "Readings outside their allowed range are refused, so a threshold outside it never matters."),
    ("R049", "no-safety-note", "error", "A risky action without a safety note",
     "An action that adds a chemical, opens equipment or carries a risk shows the cautions of reviewed safety notes."),
    ("R050", "stop-not-covered", "error", "A dangerous cause without its stop rule",
     "covered-by names a rule of safety/ with kind stop."),
    ("R051", "action-past-stop", "error", "An action that goes past a stop rule",
     "While the stop rule stands, only the actions it allows may be shown."),
    ("R052", "settle-not-shown", "error", "The decisive test is not one of what the cause shows",
     "settle.by names symptoms the cause shows, or readings behind a derived one."),
    ("R053", "nothing-shared", "error", "Look-alikes that share no symptom",
     "Causes that have no symptom in common are not mistaken for each other."),
    ("R054", "refers-to-itself", "error", "A rule refers to itself", "Name another rule."),
    ("R055", "does-not-split", "warning", "The splitting symptom is equally frequent in both causes",
     "What tells two causes apart is shown more often by one of them."),
    ("R056", "unused", "warning", "A rule that nothing uses", "Refer to it, or retire it."),
    ("R057", "unknown-calculator", "error", "A calculator that is not registered",
     "Computed readings and doses name functions of the engine; formulas are not written in rules."),
    ("R058", "empty-range", "error", "A range whose low end is above its high end", "Swap the two."),
    ("R059", "no-margin", "error", "A threshold without a margin",
     "The margin says how far the threshold may move before a reference case must notice."),
    ("R060", "wording", "warning", "Wording that does not fit the house style",
     "No exclamation marks, no 'please': calm, short orders."),
    ("R061", "wrong-kind", "error", "A rule of the right name but the wrong kind",
     "For example a safety note where a stop rule belongs, or a derived symptom that is to be asked."),
    ("R062", "rests-on-demo", "error", "A rule that rests on an invented source",
     "Sources of kind invented are for the demo; advice needs another source."),
    ("R063", "id-in-program", "error", "An id of a rule in the program",
     "What the trade knows stands in rules. The program names only the readings that physics needs, in one list."),
    ("R064", "id-without-rule", "error", "The program names a reading that no rule has",
     "A reading that physics needs was taken out or called otherwise; write its rule, or take it out of the list."),
    ("R070", "version-not-risen", "error", "A changed meaning under the same version",
     "The version rises by one with every change of meaning since the last release, so that people can tell which rule "
     "gave an answer. Explanations, questions, titles, margins, cases and sources are not meaning."),
    ("R071", "rule-gone", "error", "A released rule is gone",
     "Rules are retired, not deleted: stored cases and reports still name them, and an id is never used again."),
)  # fmt: skip
