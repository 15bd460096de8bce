"""The template engine and style sheet that every HTML report and the web pages share.

Every value is escaped by the template engine; only our own drawings go in as they are.
"""

import base64
import hashlib
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from saltriage.pool.unit_display import unit_sign
from saltriage.report.shared.danger_lines import danger_reason, hides_advice
from saltriage.report.shared.pictures import chance_bar, drawing, evidence_bar, pipe, sign, staff, tile
from saltriage.report.shared.reader_words import later_words
from saltriage.report.shared.words import CALL, LEVEL

__all__ = ["environment", "inner_style", "style", "style_hash"]

_TEMPLATES = Path(__file__).parent / "templates"


@cache
def environment(*more: Path) -> Environment:
    """The template engine: escapes everything, refuses names that are not there.

    Args: more: further folders of templates, looked at first.
    """
    # Autoescape is set for every template, whatever its name ends in.
    made = Environment(
        loader=FileSystemLoader([*more, _TEMPLATES]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals |= {
        "chance_bar": chance_bar,
        "evidence_bar": evidence_bar,
        "drawing": drawing,
        "pipe": pipe,
        "sign": sign,
        "staff": staff,
        "tile": tile,
        "danger_level": LEVEL.__getitem__,
        "danger_call": CALL.get,
        "danger_reason": danger_reason,
        "hides_advice": hides_advice,
        "later_words": later_words,
    }
    made.filters["unit_sign"] = unit_sign
    return made


@cache
def style() -> str:
    """The style sheet that reports carry inside them."""
    return (_TEMPLATES / "ink.css").read_text(encoding="utf-8")


def inner_style() -> str:
    """What stands between the tags of the style sheet in a report, to the byte, so that its hash is known."""
    return "\n" + style()


@cache
def style_hash() -> str:
    """Source expression for a Content-Security-Policy under which a report's own style sheet applies."""
    return "'sha256-" + base64.b64encode(hashlib.sha256(inner_style().encode()).digest()).decode() + "'"
