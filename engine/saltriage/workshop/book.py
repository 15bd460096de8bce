"""`rules book`: the knowledge as a folder of static pages, one for each rule; nothing is loaded from anywhere else."""

from collections.abc import Iterable
from html import escape
from pathlib import Path

from saltriage.errors import UsageRefused
from saltriage.knowledge.schemas import FOLDERS
from saltriage.workshop.pages import Library, Line, Ref, RulePage, library, rule_page

__all__ = ["STYLE", "write_book"]

STYLE = """\
:root { color-scheme: light dark; --ink: #1c2b33; --paper: #fff; --line: #c5d2d8; --link: #0b5d7a; --soft: #f1f6f8; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #e4edf1; --paper: #10191d; --line: #3a4a52; --link: #8fd0ea; --soft: #18252b; }
}
body { font: 1rem/1.5 system-ui, sans-serif; color: var(--ink); background: var(--paper); margin: 0 auto;
  max-width: 60rem; padding: 1rem; }
a { color: var(--link); }
h1 { font-size: 1.6rem; margin: .5rem 0 0; } h2 { font-size: 1.15rem; margin: 1.5rem 0 .25rem; }
ul { padding-left: 1.25rem; } li { margin: .15rem 0; }
.about { margin: .25rem 0 1rem; } .story { background: var(--soft); padding: .5rem .75rem; border-radius: .25rem; }
input { font: inherit; padding: .4rem .6rem; width: 100%; box-sizing: border-box; min-height: 2.75rem; }
@media print { nav, input, label { display: none; } a { color: inherit; } }
"""
_SEARCH = """\
const field = document.getElementById('words');
field.addEventListener('input', () => {
  const words = field.value.toLowerCase().split(/\\s+/).filter(Boolean);
  for (const entry of document.querySelectorAll('li[data-words]'))
    entry.hidden = !words.every(word => entry.dataset.words.includes(word));
});
"""
_PLURAL = {kind: folder for folder, kind in FOLDERS.items()}


def write_book(folder: Path, rules: Path) -> int:
    """Write index.html, a page for each rule and one with all sources and cases; how many pages there are.

    Raises: UsageRefused: the folder is not empty and holds no earlier book.
    """
    if folder.exists() and any(folder.iterdir()) and not (folder / "index.html").is_file():
        raise UsageRefused(f"{folder}: is not empty and holds no book; name an empty folder")
    books = library(rules)
    pages = [rule_page(rule, books) for rule in sorted(books.base.all_sound(), key=lambda one: (one.kind, one.id))]
    for page in pages:
        _write(folder / page.kind / f"{page.id}.html", _page_html(page))
    _write(folder / "cases.html", _cases_html(books))
    _write(folder / "sources.html", _sources_html(books))
    _write(folder / "index.html", _index_html(pages, books))
    return len(pages) + 3


def _write(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def _html(title: str, body: Iterable[str], script: str = "") -> str:
    scripted = f"<script>\n{script}</script>\n" if script else ""
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n"
        + "\n".join(body)
        + f"\n{scripted}</body>\n</html>\n"
    )


def _page_html(page: RulePage) -> str:
    body = [
        '<nav><a href="../index.html">All rules</a></nav>',
        "<main>",
        f"<h1>{escape(page.title)}</h1>",
        f'<p class="about"><code>{escape(page.id)}</code>: {escape(page.about)}</p>',
        *_nested(page.lines),
    ]
    for heading, refs in (("Cases", page.cases), ("Sources", page.sources), ("Used by", page.used_by)):
        if refs:
            body += [f"<h2>{heading}</h2>", "<ul>", *(f"<li>{_link(ref, '../')}</li>" for ref in refs), "</ul>"]
    return _html(page.title, [*body, "</main>"])


def _nested(lines: Iterable[Line]) -> list[str]:
    """Lines as lists in lists."""
    html, depth = [], -1
    for line in lines:
        while depth < line.depth:
            html.append("<ul>")
            depth += 1
        while depth > line.depth:
            html.append("</ul>")
            depth -= 1
        html.append("<li>" + "".join(_part(part) for part in line.parts) + "</li>")
    return html + ["</ul>"] * (depth + 1)


def _part(part: str | Ref) -> str:
    return escape(part) if isinstance(part, str) else _link(part, "../")


def _link(ref: Ref, up: str) -> str:
    where = {"source": f"sources.html#{ref.id}", "case": f"cases.html#{ref.id}"}.get(
        ref.kind, f"{ref.kind}/{ref.id}.html"
    )
    return f'<a href="{escape(up + where)}">{escape(ref.title)}</a>'


def _index_html(pages: list[RulePage], books: Library) -> str:
    about = next(books.base.sound("knowledge")).data
    title = f"{about.get('title', 'Rules')}: knowledge {about['version']}"
    body = [
        "<main>",
        f"<h1>{escape(title)}</h1>",
        f'<p class="about">{len(pages)} rules. <a href="cases.html">Cases</a>, <a href="sources.html">sources</a>.</p>',
        '<label for="words">Find a rule by words of its title, id or callers\' phrases</label>',
        '<input id="words" type="search" autocomplete="off">',
    ]
    for kind, folder in sorted(_PLURAL.items()):
        of_kind = [page for page in pages if page.kind == kind]
        body += [f"<h2>{folder.capitalize()} ({len(of_kind)})</h2>", "<ul>"] if of_kind else []
        for page in of_kind:
            phrases = books.base.of(kind)[page.id].data.get("phrases", ())
            words = escape(" ".join([page.title, page.id, *phrases]).lower())
            body.append(f'<li data-words="{words}">{_link(Ref(kind, page.id, page.title), "")}</li>')
        body += ["</ul>"] if of_kind else []
    return _html(title, [*body, "</main>"], _SEARCH)


def _cases_html(books: Library) -> str:
    body = ['<nav><a href="index.html">All rules</a></nav>', "<main>", "<h1>Reference cases</h1>"]
    for id, case in sorted((books.base.cases or {}).items()):
        if case.is_sound:
            body.append(f'<h2 id="{escape(id)}">{escape(str(case.data.get("title", id)))}</h2>')
            body.append(f'<p class="story">{escape(str(case.data.get("story", "")))}</p>')
    return _html("Reference cases", [*body, "</main>"])


def _sources_html(books: Library) -> str:
    body = ['<nav><a href="index.html">All rules</a></nav>', "<main>", "<h1>Sources</h1>"]
    for id, entry in sorted(next(books.base.sound("sources")).data.items()):
        body.append(f'<h2 id="{escape(id)}">{escape(id)}</h2>')
        body.append(f"<p>{escape(entry['cite'])} ({escape(entry['kind'])}) {escape(entry.get('note', ''))}</p>")
    return _html("Sources", [*body, "</main>"])
