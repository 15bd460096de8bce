"""A diagnosis as one self-contained HTML page: prints well, holds no script, loads nothing from anywhere.

The web pages show the same parts through `environment` and `DiagnosisView`. Every value is escaped by the template
engine; only our own drawings go in as they are.
"""

import base64
import hashlib
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from saltriage.knowledge.model import Knowledge
from saltriage.report.html_view import DiagnosisView
from saltriage.report.pictures import chance_bar, drawing, evidence_bar, pipe
from saltriage.result import Diagnosis
from saltriage.units import System

__all__ = ["diagnosis_html", "environment", "style", "style_hash"]

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
    }
    return made


@cache
def style() -> str:
    """The style sheet that reports carry inside them."""
    return (_TEMPLATES / "ink.css").read_text(encoding="utf-8")


def diagnosis_html(
    diagnosis: Diagnosis, knowledge: Knowledge, *, reader: str = "owner", units: System = "metric"
) -> str:
    """The whole diagnosis as an HTML document (UTF-8) that needs no other file.

    Args: reader ``owner`` or ``support``; units ``metric`` or ``us``; knowledge: the one the diagnosis was made with.
    """
    view = DiagnosisView(diagnosis, knowledge, reader, units)
    template = environment().get_template("report.html.j2")
    return template.render(view=view, diagnosis=diagnosis, style=Markup(_inner_style())) + "\n"


def _inner_style() -> str:
    """What stands between the tags, to the byte, so that its hash is known."""
    return "\n" + style()


@cache
def style_hash() -> str:
    """Source expression for a Content-Security-Policy under which a report's own style sheet applies."""
    return "'sha256-" + base64.b64encode(hashlib.sha256(_inner_style().encode()).digest()).decode() + "'"
