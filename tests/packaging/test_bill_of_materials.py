"""The bill of materials: CycloneDX, complete, the same each time."""

import importlib.util
import json
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

import pytest

SCRIPT = Path(__file__).resolve().parents[2] / ".ci" / "sbom.py"
# A package of the tests stands in for Saltriage where that is not installed, as in a bare checkout.
ROOTS = ["saltriage", "pytest"]


def script():
    spec = importlib.util.spec_from_file_location("sbom", SCRIPT)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def root() -> str:
    for name in ROOTS:
        try:
            distribution(name)
        except PackageNotFoundError:
            continue
        return name
    raise AssertionError("not even pytest is installed")


def test_bill_names_every_package_with_its_version():
    """Everything the root needs here is listed once, with its version, and every reference is to something listed."""
    bill = script().bill(root())

    listed = {each["bom-ref"] for each in bill["components"]} | {bill["metadata"]["component"]["bom-ref"]}
    assert len(listed) == len(bill["components"]) + 1 > 3
    assert {each["ref"] for each in bill["dependencies"]} == listed
    assert {other for each in bill["dependencies"] for other in each["dependsOn"]} <= listed
    for each in bill["components"]:
        assert each["version"] == distribution(each["name"]).version


def test_bill_is_the_same_each_time():
    """No time and no random number."""
    assert json.dumps(script().bill(root())) == json.dumps(script().bill(root()))


def test_bill_is_cyclonedx():
    """Checked by the standard's own library, where it is installed (cyclonedx-python-lib, Apache-2.0)."""
    validation = pytest.importorskip("cyclonedx.validation.json")
    from cyclonedx.schema import SchemaVersion

    fault = validation.JsonStrictValidator(SchemaVersion.V1_6).validate_str(json.dumps(script().bill(root())))

    assert fault is None
