"""Prints the findings of a knowledge base.

    python -m saltriage.knowledge.check RULES_FOLDER [CASES_FOLDER | no-cases] [PART...]

With PARTs, only findings of files whose path holds one of them are printed (and counted), for example `/salt/`.
"""

import sys
import time


def main(arguments: list[str]) -> int:
    from saltriage.knowledge.checking import check

    if not arguments:
        print(
            "usage: python -m saltriage.knowledge.check RULES_FOLDER [CASES_FOLDER | no-cases] [PART...]",
            file=sys.stderr,
        )
        return 2
    begun = time.perf_counter()
    cases = {"no-cases": False}.get(arguments[1], arguments[1]) if len(arguments) > 1 else True
    found = check(arguments[0], cases)
    if arguments[2:]:
        found = [finding for finding in found if any(part in finding.file for part in arguments[2:])]
    for finding in found:
        print(finding)
    sys.stdout.flush()
    errors = sum(finding.severity == "error" for finding in found)
    print(f"{errors} errors, {len(found) - errors} warnings, {time.perf_counter() - begun:.2f} s", file=sys.stderr)
    return 1 if errors else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
