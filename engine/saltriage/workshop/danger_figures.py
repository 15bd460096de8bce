"""How well dangers are heard, on lines of minds that were kept aside: by mind, kind and severity."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from saltriage.words.danger.weights import DangerScale
from saltriage.workshop.danger_thresholds import Scored, verdict

__all__ = ["DangerFigures", "figures_of", "figures_text"]


@dataclass(frozen=True, slots=True)
class DangerFigures:
    """Shares of some lines, 0 to 1; 0 of none.

    Args: dangers, harmless: how many. heard: dangers that stand or are asked back. stand: of them, those that stand.
    false, asked: harmless lines that stand, and that are asked back. right_kind: of the dangers heard, those whose kind
    is right.
    """

    dangers: int
    harmless: int
    heard: float
    stand: float
    false: float
    asked: float
    right_kind: float


def figures_of(lines: Iterable[Scored], scale: DangerScale) -> DangerFigures:
    """Counts over lines of a corpus."""
    told = [(each, verdict(each, scale)) for each in lines]
    dangers = [(each, said) for each, said in told if each.line.danger]
    harmless = [said for each, said in told if not each.line.danger]
    heard = [(each, said) for each, said in dangers if said]
    return DangerFigures(
        len(dangers),
        len(harmless),
        _share(len(heard), len(dangers)),
        _share(sum(said == "sure" for _, said in dangers), len(dangers)),
        _share(harmless.count("sure"), len(harmless)),
        _share(harmless.count("ask"), len(harmless)),
        _share(sum(each.kind == each.line.danger for each, _ in heard), len(heard)),
    )


def _share(part: int, whole: int) -> float:
    return part / whole if whole else 0.0


def figures_text(lines: Sequence[Scored], scale: DangerScale) -> str:
    """The table that `rules train` prints."""
    head = f"{'':<14}{'dangers':>8}{'heard':>8}{'stand':>8}{'kind':>8}{'harmless':>10}{'stand':>8}{'asked':>8}"
    groups: list[tuple[str, Callable[[Scored], object]]] = [
        ("mind", lambda each: each.line.mind),
        ("kind", lambda each: each.line.danger),
        ("severity", lambda each: each.line.severity),
    ]
    rows = [head, _row("all", figures_of(lines, scale))]
    for name, of in groups:
        for value in sorted({of(each) for each in lines} - {"", 0}, key=str):
            rows.append(_row(f"{name} {value}", figures_of([each for each in lines if of(each) == value], scale)))
    rows.append(f"asked back from {scale.ask:.2f}, stands from {scale.sure:.2f}, handicap {scale.handicap:.2f}")
    return "\n".join(rows) + "\n"


def _row(name: str, told: DangerFigures) -> str:
    shares = f"{told.heard:>8.3f}{told.stand:>8.3f}{told.right_kind:>8.3f}" if told.dangers else " " * 24
    calm = f"{told.harmless:>10}{told.false:>8.3f}{told.asked:>8.3f}" if told.harmless else ""
    return f"{name:<14}{told.dangers:>8}{shares}{calm}".rstrip()
