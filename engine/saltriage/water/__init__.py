"""The water's public address: `from saltriage.water import Water`. The room itself is `saltriage.pool.water`."""

from saltriage.pool.water import *  # noqa: F403  (an address holds what the room says is public, nothing else)
from saltriage.pool.water import __all__ as __all__
