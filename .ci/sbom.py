"""Bill of materials of an installed Saltriage in CycloneDX 1.6 (JSON), on standard output:

    .venv/bin/python .ci/sbom.py > sbom.cdx.json

It lists what is installed for Saltriage in this environment, with versions, licences and who needs whom. The same
environment gives the same bytes: no time, no random number.
"""

import json
import re
import sys
import uuid
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from typing import Any

from packaging.requirements import Requirement

ROOT = "saltriage"


def normal(name: str) -> str:
    """The name as the package index compares it (PEP 503)."""
    return re.sub(r"[-_.]+", "-", name).lower()


def needs(found: Distribution) -> list[str]:
    """Names of what a package needs here, extras left out."""
    wanted = [Requirement(text) for text in found.requires or ()]
    return sorted({normal(one.name) for one in wanted if one.marker is None or one.marker.evaluate({"extra": ""})})


def installed(root: str) -> dict[str, Distribution]:
    """The root and everything it needs, by name. What is not installed is named on standard error."""
    found: dict[str, Distribution] = {}
    waiting = [root]
    while waiting:
        name = waiting.pop()
        if name in found:
            continue
        try:
            found[name] = distribution(name)
        except PackageNotFoundError:
            print(f"{name} is needed but not installed", file=sys.stderr)
            continue
        waiting += needs(found[name])
    return dict(sorted(found.items()))


def reference(name: str, found: Distribution) -> str:
    return f"pkg:pypi/{name}@{found.version}"


def component(name: str, found: Distribution) -> dict[str, Any]:
    """One package; the licence as its author states it."""
    about = found.metadata
    told = about.get("License-Expression")
    names = [line.rpartition(" :: ")[2] for line in about.get_all("Classifier") or () if line.startswith("License ::")]
    licences = [{"expression": told}] if told else [{"license": {"name": each}} for each in names]
    entry = {
        "type": "application" if name == ROOT else "library",
        "bom-ref": reference(name, found),
        "name": name,
        "version": found.version,
        "description": about.get("Summary") or "",
        "licenses": licences,
        "purl": reference(name, found),
    }
    return {key: value for key, value in entry.items() if value}


def bill(root: str) -> dict[str, Any]:
    """The whole document."""
    found = installed(root)
    parts = [component(name, each) for name, each in found.items() if name != root]
    dependencies = [
        {
            "ref": reference(name, each),
            "dependsOn": [reference(other, found[other]) for other in needs(each) if other in found],
        }
        for name, each in found.items()
    ]
    content = json.dumps([parts, dependencies], sort_keys=True)
    return {
        "bomFormat": "CycloneDX",
        "specVersion": "1.6",
        "serialNumber": f"urn:uuid:{uuid.uuid5(uuid.NAMESPACE_URL, content)}",
        "version": 1,
        "metadata": {"component": component(root, found[root])},
        "components": parts,
        "dependencies": dependencies,
    }


if __name__ == "__main__":
    print(json.dumps(bill(ROOT), indent=2, ensure_ascii=False))
