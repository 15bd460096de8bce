"""Reports on paper: one A4 page for the owner, two for support staff."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from saltriage.case import load_case
from saltriage.diagnosis import diagnose
from saltriage.knowledge import Knowledge
from saltriage.report.diagnosis.html import diagnosis_html

if TYPE_CHECKING:
    from playwright.sync_api import Page

Opened = Callable[..., "Page"]
ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize(("reader", "most"), [("owner", 1), ("support", 2)])
@pytest.mark.parametrize("name", sorted(path.stem for path in (ROOT / "cases" / "demo").glob("*.yaml")))
def test_a_report_fits_its_pages(browser_page: Opened, knowledge: Knowledge, name: str, reader: str, most: int) -> None:
    """Counted in the file that the browser prints; the whole of it takes more."""
    found = diagnose(load_case(ROOT / "cases" / "demo" / f"{name}.yaml", knowledge), knowledge)
    page = browser_page("about:blank")

    def pages(*, full: bool) -> int:
        page.set_content(diagnosis_html(found, knowledge, reader=reader, full=full))
        return len(re.findall(rb"/Type\s*/Page\b", page.pdf(prefer_css_page_size=True)))

    assert 1 <= pages(full=False) <= most
    assert pages(full=True) > most
