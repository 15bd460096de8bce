"""Loads the knowledge base: from a good bundle where one is at hand, else from the rule files, checking them first."""

from pathlib import Path

from saltriage.errors import KnowledgeRefused, UsageRefused
from saltriage.knowledge.build import fingerprint, knowledge_from_files
from saltriage.knowledge.bundle import (
    Contents,
    KnowledgeBundle,
    bundle_file,
    contents_of,
    read_bundle,
    shipped_bundle,
    write_bundle,
)
from saltriage.knowledge.home import data_folder
from saltriage.knowledge.model import Knowledge

__all__ = ["compile_bundle", "load_knowledge"]


def load_knowledge(folder: Path | str | None = None) -> Knowledge:
    """The knowledge of the rules that come with Saltriage, or of another folder of rules.

    Args:
        folder: a folder with knowledge.yaml in it; the project's own rules if not given.

    Raises:
        KnowledgeRefused: the rules do not pass the check; carries every finding that is an error.
        UsageRefused: there is no such folder.
    """
    rules = Path(folder) if folder is not None else data_folder("rules")
    try:
        contents = contents_of(rules)
    except OSError as reason:
        raise UsageRefused(
            f"{reason.filename or rules}: {reason.strerror or 'cannot be read'}; name a folder of rules"
        ) from None
    kept = bundle_file(rules)
    for path in (shipped_bundle() if rules == data_folder("rules") else None, kept):
        bundle = read_bundle(path, contents.whole) if path else None
        if bundle:
            return knowledge_from_files(bundle.data, bundle.fingerprint)
    bundle = _compiled(rules, contents)
    if contents_of(rules) == contents:  # nobody saved a rule while they were being read
        write_bundle(kept, bundle)
    return knowledge_from_files(bundle.data, bundle.fingerprint)


def compile_bundle(folder: Path, path: Path) -> None:
    """Checks the rules of a folder and writes their bundle, for shipping it inside the package.

    Raises:
        KnowledgeRefused: the rules do not pass the check.
        OSError: the bundle cannot be written.
    """
    if not write_bundle(path, _compiled(folder, contents_of(folder))):
        raise OSError(f"{path} cannot be written")


def _compiled(rules: Path, contents: Contents) -> KnowledgeBundle:
    from saltriage.knowledge.checking import findings_of
    from saltriage.knowledge.rule_files import FOR_MAINTAINERS, read_base

    base = read_base(rules, None)
    errors = [finding for finding in findings_of(base) if finding.severity == "error"]
    if errors:
        raise KnowledgeRefused(errors)
    data = {
        Path(rule.file).relative_to(rules).as_posix(): rule.data
        for kind, rules_of_kind in base.rules.items()
        if kind not in FOR_MAINTAINERS
        for rule in rules_of_kind.values()
    }
    return KnowledgeBundle(data, contents.files, fingerprint(data), contents.whole)
