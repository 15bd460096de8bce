"""How property tests draw their examples, and which tests start first.

Examples are drawn anew each time at a desk, and are the same each time in continuous integration: a run there must not
fail by luck for a change that has nothing to do with it; a desk keeps looking.
"""

import os

import pytest
from hypothesis import settings

settings.register_profile("desk", deadline=None)
settings.register_profile("continuous-integration", deadline=None, derandomize=True)
settings.load_profile("continuous-integration" if os.environ.get("CI") else "desk")


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Files with long tests come first, as they stand otherwise: short ones fill the cores at the end of a run."""
    first = {item.path for item in items if item.get_closest_marker("long")}
    items.sort(key=lambda item: item.path not in first)
