"""Findings as text, JSON, SARIF 2.1.0, annotations of a public CI service, and JUnit XML."""

import hashlib
import json
import os
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from typing import Any
from xml.etree import ElementTree

from saltriage import __version__
from saltriage.knowledge.checks import CHECKS
from saltriage.knowledge.findings import Finding
from saltriage.knowledge.home import data_folder
from saltriage.workshop.checked import Checked

__all__ = ["FORMS", "total"]

FORMAT_VERSION = 1
_SARIF_SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"


def total(checked: Checked) -> str:
    """One line: how many files, errors and warnings."""
    files = f"{len(checked.files)} file{'' if len(checked.files) == 1 else 's'}"
    return f"{files} checked: {checked.errors} errors, {checked.warnings} warnings"


def text(checked: Checked) -> str:
    """Up to five lines a finding, then the total."""
    return "".join(f"{finding}\n\n" for finding in checked.findings) + f"{total(checked)}\n"


def json_form(checked: Checked) -> str:
    """schemas/findings.schema.json describes it."""
    data = {
        "format": FORMAT_VERSION,
        "files": len(checked.files),
        "errors": checked.errors,
        "warnings": checked.warnings,
        "findings": [_finding(finding) for finding in checked.findings],
    }
    return json.dumps(data, ensure_ascii=False, indent=2) + "\n"


def _finding(finding: Finding) -> dict[str, object]:
    return {
        "code": finding.code,
        "name": finding.name,
        "severity": finding.severity,
        "file": finding.file,
        "line": finding.line,
        "column": finding.column,
        "width": finding.width,
        "message": finding.message,
        "mend": finding.mend,
        "source": finding.source,
    }


def sarif(checked: Checked) -> str:
    """Static Analysis Results Interchange Format, version 2.1.0 (OASIS standard), one run."""
    codes = sorted({finding.code for finding in checked.findings})
    page = _manual()
    driver = {"name": "saltriage", "version": __version__, "rules": [_sarif_rule(code, page) for code in codes]}
    run = {
        "tool": {"driver": driver},
        "columnKind": "unicodeCodePoints",
        "results": _sarif_results(checked.findings, codes),
    }
    data = {"$schema": _SARIF_SCHEMA, "version": "2.1.0", "runs": [run]}
    return json.dumps(data, ensure_ascii=False, indent=2) + "\n"


def _sarif_rule(code: str, page: str) -> dict[str, Any]:
    check = CHECKS[code]
    return {
        "id": code,
        "name": check.name,
        "shortDescription": {"text": check.what},
        "fullDescription": {"text": check.mend},
        "help": {"text": f"{check.what}. {check.mend}"},
        "defaultConfiguration": {"level": check.severity},
    } | ({"helpUri": f"{page}#{code.lower()}"} if page else {})


def _manual() -> str:
    """Address of DEVELOPERS.md, for links: of the revision that a CI service checks, else of the checkout.

    Empty where neither is known: what ships inside an installed package has no manual beside it.
    """
    told = [os.environ.get(f"GITHUB_{part}", "") for part in ("SERVER_URL", "REPOSITORY", "SHA")]
    if all(told):
        return f"{told[0]}/{told[1]}/blob/{told[2]}/DEVELOPERS.md"
    page = data_folder("rules").parent / "DEVELOPERS.md"
    return page.as_uri() if page.is_file() else ""


def _sarif_results(findings: Sequence[Finding], codes: list[str]) -> list[dict[str, Any]]:
    """The results, each with a fingerprint that lines added above it do not change."""
    seen: Counter[str] = Counter()
    results = []
    for finding in findings:
        same = "\0".join((finding.code, finding.file, finding.message, finding.source.strip()))
        seen[same] += 1
        mark = hashlib.sha256(f"{same}\0{seen[same]}".encode()).hexdigest()[:32]
        result = _sarif_result(finding, codes.index(finding.code))
        results.append(result | {"partialFingerprints": {"finding/v1": mark}})
    return results


def _sarif_result(finding: Finding, index: int) -> dict[str, Any]:
    region: dict[str, Any] = {"startLine": finding.line, "startColumn": finding.column}
    region["endColumn"] = finding.column + max(1, finding.width)
    if finding.source:
        region["snippet"] = {"text": finding.source}
    place = {"artifactLocation": {"uri": _uri(finding.file)}, "region": region}
    return {
        "ruleId": finding.code,
        "ruleIndex": index,
        "level": finding.severity,
        "message": {"text": f"{finding.message} {finding.mend}".strip()},
        "locations": [{"physicalLocation": place}],
    }


def _uri(file: str) -> str:
    from urllib.parse import quote

    return quote(file)


def github(checked: Checked) -> str:
    """One workflow command a finding, shown beside the line in a pull request; then the total."""
    lines = [_annotation(finding) for finding in checked.findings]
    return "".join(f"{line}\n" for line in [*lines, total(checked)])


def _annotation(finding: Finding) -> str:
    keys = {
        "file": finding.file,
        "line": finding.line,
        "col": finding.column,
        "endColumn": finding.column + max(1, finding.width),
        "title": f"{finding.code} {finding.name}",
    }
    told = ",".join(f"{key}={_escaped(str(value), more=True)}" for key, value in keys.items())
    return f"::{finding.severity} {told}::{_escaped(f'{finding.message} {finding.mend}'.strip())}"


def _escaped(value: str, more: bool = False) -> str:
    """Percent signs and line ends, and in properties also colon and comma, as the workflow commands want them."""
    pairs = {"%": "%25", "\r": "%0D", "\n": "%0A"} | ({":": "%3A", ",": "%2C"} if more else {})
    return "".join(pairs.get(sign, sign) for sign in value)


def junit(checked: Checked) -> str:
    """One test case a file; an error fails it, a warning stands in its output."""
    by_file: dict[str, list[Finding]] = {file: [] for file in checked.files}
    for finding in checked.findings:
        by_file.setdefault(finding.file, []).append(finding)
    failed = sum(any(finding.severity == "error" for finding in found) for found in by_file.values())
    suite = ElementTree.Element(
        "testsuite", name="saltriage rules check", tests=str(len(by_file)), failures=str(failed), errors="0"
    )
    for file, found in sorted(by_file.items()):
        case = ElementTree.SubElement(suite, "testcase", classname="rules", name=file)
        _junit_case(case, found)
    suites = ElementTree.Element("testsuites")
    suites.append(suite)
    ElementTree.indent(suites)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ElementTree.tostring(suites, encoding="unicode") + "\n"


def _junit_case(case: ElementTree.Element, found: list[Finding]) -> None:
    errors = [finding for finding in found if finding.severity == "error"]
    warnings = [finding for finding in found if finding.severity == "warning"]
    if errors:
        first = f"{errors[0].code} {errors[0].name}: {errors[0].message}"
        failure = ElementTree.SubElement(case, "failure", message=_xml(first), type="error")
        failure.text = _xml("\n\n".join(map(str, errors)))
    if warnings:
        ElementTree.SubElement(case, "system-out").text = _xml("\n\n".join(map(str, warnings)))


def _xml(value: str) -> str:
    """Without the signs that XML 1.0 cannot hold."""
    return "".join(sign for sign in value if sign in "\t\n\r" or (sign >= " " and sign not in "\ufffe\uffff"))


FORMS: Mapping[str, Callable[[Checked], str]] = {
    "text": text, "json": json_form, "sarif": sarif, "github": github, "junit": junit,
}  # fmt: skip
"""Name of each form -> function that writes it."""
