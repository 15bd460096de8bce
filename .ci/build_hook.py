"""Compiles the rules into one bundle that ships in the wheel, so that not even the first start reads YAML.

Rules that do not pass the check make no wheel. The bundle holds nothing of the time or the machine: two builds of the
same files give the same bytes.
"""

import os
import shutil
import sys
import tempfile
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

NO_COMPILER = """\
No C compiler is found here. durable-rules, which saltriage matches with on Python 3.12 and earlier, is compiled when it
is installed, so the installation may end with 'Failed building wheel for durable-rules'.
On Debian: apt-get install gcc python3-dev. Or use Python 3.13 or later, which needs no compiler."""


def _compiler() -> str | None:
    names = [os.environ.get("CC", "").split(" ")[0], "cc", "gcc", "clang"]
    return next((found for name in names if name and (found := shutil.which(name))), None)


class BundleHook(BuildHookInterface):  # type: ignore[type-arg]
    """Named in pyproject.toml; hatchling finds the class by its base."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Before the wheel is put together; an editable install reads the rules where they lie instead."""
        if version == "editable":
            return
        if sys.version_info < (3, 13) and not _compiler():
            # Not an error: durable-rules may be installed already, or come as a wheel. Shown by `pip install -v`.
            self.app.display_warning(NO_COMPILER)
        root = Path(self.root)
        sys.path.insert(0, str(root / "engine"))
        from saltriage.knowledge.load import compile_bundle

        self._folder = tempfile.TemporaryDirectory(prefix="saltriage-bundle-")
        bundle = Path(self._folder.name) / "rules.bundle.json"
        compile_bundle(root / "rules", bundle)
        build_data["force_include"][str(bundle)] = "saltriage/_data/rules.bundle.json"

    def finalize(self, version: str, build_data: dict[str, Any], artifact_path: str) -> None:
        """After it."""
        if version != "editable":
            self._folder.cleanup()
