"""A mutation run in words and as JSON."""

import json
from collections import Counter
from dataclasses import asdict

from saltriage.workshop.mutants import KINDS
from saltriage.workshop.mutation import MUST_BE_CAUGHT, MutationResult

__all__ = ["mutation_json", "mutation_text"]

FORMAT_VERSION = 1


def mutation_text(result: MutationResult, every: bool = False) -> str:
    """Survivors, then the share caught of each kind.

    Args: every: list the caught mutants and the surviving frequency words as well.
    """
    lines = [f"already failing  {case}: {problem}" for case, problem in sorted(result.failing.items())]
    for one in result.tried:
        if not one.by and (every or one.kind in MUST_BE_CAUGHT):
            lines.append(f"NOT NOTICED  {one.mutant}")
        elif every:
            lines.append(f"noticed      {one.mutant}: {one.by} ({one.how})")
    lines += [*_shares(result), _verdict(result)]
    return "\n".join(lines) + "\n"


def _shares(result: MutationResult) -> list[str]:
    tried = Counter(one.kind for one in result.tried)
    caught = Counter(one.kind for one in result.tried if one.by)
    return [
        f"{kind:<10}{caught[kind]:>5} of {tried[kind]:>5} noticed ({caught[kind] / tried[kind]:.1%})"
        for kind in KINDS
        if tried[kind]
    ]


def _verdict(result: MutationResult) -> str:
    missed = Counter(one.rules for one in result.survivors)
    where = ", ".join(f"{count} in {rules}" for rules, count in sorted(missed.items()))
    told = f"{len(result.survivors)} removals, flips and thresholds not noticed" + (f": {where}" if where else "")
    return told + (f"; {len(result.failing)} cases fail already" if result.failing else "")


def mutation_json(result: MutationResult) -> str:
    """Every mutant, which case noticed it and how."""
    data = {
        "format": FORMAT_VERSION,
        "failing": dict(sorted(result.failing.items())),
        "survivors": len(result.survivors),
        "mutants": [asdict(one) for one in result.tried],
    }
    return json.dumps(data, ensure_ascii=False, indent=2) + "\n"
