"""How property tests draw their examples: anew each time at a desk, the same each time in continuous integration.

A run in continuous integration must not fail by luck for a change that has nothing to do with it; a desk keeps looking.
"""

import os

from hypothesis import settings

settings.register_profile("desk", deadline=None)
settings.register_profile("continuous-integration", deadline=None, derandomize=True)
settings.load_profile("continuous-integration" if os.environ.get("CI") else "desk")
