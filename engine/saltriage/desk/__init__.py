"""The desk: calls kept with what was said, found, advised and done, followed up, and closed with what came of them.

Nothing else of the program imports it, and what it stands on (SQLAlchemy, Alembic, psycopg, platformdirs) comes with
`pip install "saltriage[desk]"`. `Desk` is all of it; `open_desk` finds it where the user keeps it.
"""

from typing import TYPE_CHECKING

from saltriage import at_first_use

if TYPE_CHECKING:
    from saltriage.desk.desk import Desk
    from saltriage.desk.opening import open_desk
    from saltriage.desk.taking import call_of

__all__ = ["Desk", "call_of", "open_desk"]

__getattr__ = at_first_use(
    __name__,
    {"Desk": "saltriage.desk.desk", "call_of": "saltriage.desk.taking", "open_desk": "saltriage.desk.opening"},
)
