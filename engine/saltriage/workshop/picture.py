"""`rules map`: causes on the left, symptoms on the right, a line for each symptom that a cause shows.

SVG by itself, or an HTML page with a search field; both hold everything they need and work without a network. The page
works without its script as well: then nothing is dimmed.
"""

from html import escape

from saltriage.knowledge.consequences import consequences
from saltriage.knowledge.model import Knowledge
from saltriage.workshop.book import STYLE

__all__ = ["map_html", "map_svg"]

_ROW, _TOP, _LEFT, _RIGHT, _WIDTH = 18, 40, 400, 800, 1220
# The text names the word as well, so colour does not carry the meaning alone.
_STROKES = {
    "always": (2.4, 0.95),
    "usually": (1.9, 0.8),
    "often": (1.4, 0.6),
    "sometimes": (0.9, 0.45),
    "rarely": (0.6, 0.3),
}
_SCRIPT = """\
const field = document.getElementById('words'), told = document.getElementById('told');
const nodes = [...document.querySelectorAll('.node')], lines = [...document.querySelectorAll('.link')];
function show(chosen) {
  const near = new Set(chosen);
  for (const line of lines) {
    const on = !chosen.size || chosen.has(line.dataset.cause) || chosen.has(line.dataset.symptom);
    line.classList.toggle('dim', !on);
    if (on && chosen.size) { near.add(line.dataset.cause); near.add(line.dataset.symptom); }
  }
  for (const node of nodes) node.classList.toggle('dim', chosen.size > 0 && !near.has(node.dataset.key));
  told.textContent = chosen.size ? chosen.size + ' found' : '';
}
field.addEventListener('input', () => {
  const words = field.value.toLowerCase().split(/\\s+/).filter(Boolean);
  const found = words.length ? nodes.filter(node => words.every(word => node.dataset.words.includes(word))) : [];
  show(new Set(found.map(node => node.dataset.key)));
});
for (const node of nodes) {
  const pick = () => { field.value = node.dataset.title; show(new Set([node.dataset.key])); };
  node.addEventListener('click', pick);
  node.addEventListener('keydown', event => {
    if (event.key === 'Enter' || event.key === ' ') { event.preventDefault(); pick(); }
  });
}
"""


def map_svg(knowledge: Knowledge) -> str:
    """The picture alone."""
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + _svg(knowledge, _STYLE)


def map_html(knowledge: Knowledge) -> str:
    """The picture in a page with a search field."""
    title = f"Causes and symptoms, knowledge {knowledge.version}"
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n<style>\n{STYLE}body {{ max-width: none; }}\n{_STYLE}</style>\n</head>\n"
        "<body>\n"
        f"<main>\n<h1>{escape(title)}</h1>\n"
        f'<p class="about">{len(knowledge.causes)} causes, {len(knowledge.symptoms)} symptoms. The thicker a line, the'
        " more often the cause shows the symptom.</p>\n"
        '<label for="words">Find causes and symptoms by their words, or choose one in the picture</label>\n'
        '<input id="words" type="search" autocomplete="off">\n<p id="told" role="status"></p>\n'
        f"{_svg(knowledge, '')}</main>\n<script>\n{_SCRIPT}</script>\n</body>\n</html>\n"
    )


_STYLE = """\
svg { width: 100%; height: auto; } .node text { font: 13px system-ui, sans-serif; fill: currentColor; }
.node { cursor: pointer; fill: currentColor; } .node:focus-visible { outline: 2px solid #0b5d7a; }
.area { font: bold 13px system-ui, sans-serif; fill: currentColor; }
.link { fill: none; stroke: #2a7f9e; } .dim { opacity: .08; }
"""


def _svg(knowledge: Knowledge, style: str) -> str:
    causes = sorted(knowledge.causes.values(), key=lambda cause: (cause.area, cause.id))
    left: dict[str, int] = {}
    parts: list[str] = []
    row, area = 0, ""
    for cause in causes:
        if cause.area != area:
            area, row = cause.area, row + 1
            parts.append(f'<text class="area" x="{_LEFT}" y="{_y(row) + 4}" text-anchor="end">{escape(area)}</text>')
            row += 1
        left[cause.id] = row
        parts.append(_node("cause", cause.id, cause.title, row))
        row += 1
    order = _symptom_order(knowledge, left)
    stretch = max(1.0, row / max(1, len(order)))
    right = {symptom: place * stretch for place, symptom in enumerate(order)}
    parts += [_node("symptom", key, knowledge.symptoms[key].title, place) for key, place in right.items()]
    links = [
        _link(cause.id, symptom, word, left[cause.id], right[symptom])
        for cause in causes
        for symptom, word in consequences(knowledge)[cause.id].items()
        if symptom in right
    ]
    height = _TOP + int(max(row, len(order) * stretch)) * _ROW + _ROW
    styled = f"<style>{style}</style>\n" if style else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {height}" role="group"'
        f' aria-label="Causes and the symptoms they show">\n{styled}' + "\n".join([*links, *parts]) + "\n</svg>\n"
    )


def _symptom_order(knowledge: Knowledge, left: dict[str, int]) -> list[str]:
    """Symptoms near the causes that show them: by the mean row of those, so that fewer lines cross."""
    rows: dict[str, list[int]] = {symptom: [] for symptom in knowledge.symptoms}
    for cause in knowledge.causes.values():
        for symptom in consequences(knowledge)[cause.id]:
            if symptom in rows:
                rows[symptom].append(left[cause.id])
    return sorted(
        rows, key=lambda symptom: (sum(rows[symptom]) / len(rows[symptom]) if rows[symptom] else 1e9, symptom)
    )


def _y(row: float) -> float:
    return round(_TOP + row * _ROW, 1)


def _node(kind: str, id: str, title: str, row: float) -> str:
    """Causes on the left, their titles before them; symptoms on the right, their titles behind."""
    words = escape(f"{title} {id}".lower())
    x, at, anchor = (_LEFT, _LEFT - 8, "end") if kind == "cause" else (_RIGHT, _RIGHT + 8, "start")
    return (
        f'<g class="node" tabindex="0" role="button" data-key="{kind}/{id}" data-words="{words}"'
        f' data-title="{escape(title)}"><circle cx="{x}" cy="{_y(row)}" r="3"/>'
        f'<text x="{at}" y="{_y(row) + 4}" text-anchor="{anchor}">{escape(title)}</text></g>'
    )


def _link(cause: str, symptom: str, word: str, left: float, right: float) -> str:
    width, opacity = _STROKES.get(word, (1.0, 0.5))
    middle = (_LEFT + _RIGHT) / 2
    path = f"M{_LEFT} {_y(left)} C{middle} {_y(left)} {middle} {_y(right)} {_RIGHT} {_y(right)}"
    return (
        f'<path class="link" data-cause="cause/{cause}" data-symptom="symptom/{symptom}" d="{path}"'
        f' stroke-width="{width}" stroke-opacity="{opacity}"><title>{word}</title></path>'
    )
