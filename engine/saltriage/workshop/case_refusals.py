"""Cases that a diagnosis would refuse, as findings: the reader of cases is asked, so that the two never disagree."""

from collections.abc import Collection, Iterator
from pathlib import Path

from saltriage.case import Case
from saltriage.errors import CaseRefused
from saltriage.knowledge.build import knowledge_from_files
from saltriage.knowledge.findings import Finding, finding_at
from saltriage.knowledge.places import Document, Place
from saltriage.knowledge.rule_files import FOR_MAINTAINERS, Base, RuleFile

__all__ = ["refused_cases"]


def refused_cases(base: Base, home: Path, found: Collection[Finding]) -> Iterator[Finding]:
    """What is wrong with the cases by these rules, less what is said of the same place already.

    Nothing where the rules themselves are not sound: no diagnosis gets as far as a case.

    Args: home: the folder of the rules.    found: by all other looks.
    """
    cases = [(case, case.document) for case in base.all_cases() if case.document is not None and case.data]
    rules = [rule for kind, some in base.rules.items() if kind not in FOR_MAINTAINERS for rule in some.values()]
    wrong = {finding.file for finding in found if finding.severity == "error"}
    if not cases or not {"knowledge", "sources"} <= set(base.rules) or any(rule.file in wrong for rule in rules):
        return
    files = {Path(rule.file).relative_to(home).as_posix(): rule.data for rule in rules}
    known = knowledge_from_files(files, "the rules being checked")
    told = {(finding.file, finding.line, finding.column) for finding in found}
    for case, document in cases:
        try:
            Case.from_data(case.data, known, document, case.file)
        except CaseRefused as reason:
            yield from (
                each for each in _findings(case, document, reason) if (each.file, each.line, each.column) not in told
            )


def _findings(case: RuleFile, document: Document, reason: CaseRefused) -> Iterator[Finding]:
    places = {(place.line, place.column): place for place in (*document.values.values(), *document.keys.values())}
    for refusal in reason.refusals:
        line, column = (int(part) for part in refusal.place.split(":")[-2:])
        message = f"{refusal.field} is refused: {refusal.found}."
        mend = f"Expected {refusal.expected}. {refusal.mend}".strip()
        place = places.get((line, column), Place(line, column))
        yield finding_at("R044", case.file, place, message, mend, lines=document.lines)
