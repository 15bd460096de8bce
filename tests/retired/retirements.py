"""A knowledge base some years later: rules that the records of today name are retired."""

from dataclasses import replace

from saltriage.knowledge.model import Knowledge

FIELDS = {"symptom": "symptoms", "reading": "readings", "cause": "causes", "action": "actions", "target": "targets"}


def later(
    knowledge: Knowledge, kind: str, id: str, now: str = "", because: str = "Nobody asks it any more."
) -> Knowledge:
    """The knowledge with one rule retired. `now`: a rule of today takes its place; one that is not there is made."""
    rules = dict(getattr(knowledge, FIELDS[kind]))
    rule = rules.pop(id)
    if now:
        rules.setdefault(now, replace(rule, id=now))
    gone = replace(rule, status="retired", replaced_by=now, retired_because="" if now else because)
    if kind == "symptom":
        causes = {key: replace(each, shows=_without(each.shows, id, now)) for key, each in knowledge.causes.items()}
        knowledge = replace(knowledge, causes=causes)
    return replace(
        knowledge,
        fingerprint=f"{knowledge.fingerprint}/{id}",  # what is kept by fingerprint must not be taken for today's
        retired={**knowledge.retired, f"{kind}/{id}": gone},
        **{FIELDS[kind]: dict(sorted(rules.items()))},
    )


def _without(shows, gone: str, now: str) -> dict[str, str]:
    left = {key: word for key, word in shows.items() if key != gone}
    return left | ({now: shows[gone]} if now and gone in shows else {})
