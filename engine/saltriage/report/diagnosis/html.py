"""A diagnosis as one self-contained HTML page: prints well, holds no script, loads nothing from anywhere."""

from markupsafe import Markup

from saltriage.knowledge.model import Knowledge
from saltriage.pool.units import System
from saltriage.report.diagnosis.html_view import DiagnosisView
from saltriage.report.shared.page_engine import environment, inner_style
from saltriage.result import Diagnosis

__all__ = ["diagnosis_html"]


def diagnosis_html(
    diagnosis: Diagnosis, knowledge: Knowledge, *, reader: str = "owner", units: System = "metric", full: bool = False
) -> str:
    """The diagnosis as an HTML document (UTF-8) that needs no other file; it holds all, most of it folded.

    Args: reader ``owner`` or ``support``; units ``metric`` or ``us``; knowledge: the one the diagnosis was made with.
        full: the fold stands open and is printed.
    """
    view = DiagnosisView(diagnosis, knowledge, reader, units, full)
    template = environment().get_template("report.html.j2")
    return template.render(view=view, diagnosis=diagnosis, style=Markup(inner_style())) + "\n"
