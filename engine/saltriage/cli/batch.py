"""`saltriage batch IN.ndjson OUT.ndjson`"""

import os
import sys
import time
from pathlib import Path
from typing import Annotated

import typer

from saltriage.batch.run import Progress, run_batch
from saltriage.cli.app import FINDINGS, app
from saltriage.cli.options import RulesOption, tree_from

_BAR = 30  # characters


@app.command("batch")
def batch_command(
    source: Annotated[Path, typer.Argument(metavar="IN", help="One JSON case a line (.ndjson), or .parquet.")],
    target: Annotated[Path, typer.Argument(metavar="OUT", help="One JSON result a line, or .parquet.")],
    workers: Annotated[int, typer.Option(min=0, help="Processes; the number of cores if left out.")] = 0,
    resume: Annotated[bool, typer.Option("--resume", help="Go on from a run that was stopped.")] = False,
    rules: RulesOption = None,
) -> None:
    """Diagnose many cases: a result or an error for every line, in order; exit code 1 when there were errors."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    if ".parquet" in (source.suffix, target.suffix):
        from saltriage.batch.parquet import run_parquet

        if resume:
            raise typer.BadParameter("a run with Parquet files cannot be resumed; start it anew")
        summary = run_parquet(source, target, workers or cores, tree_from(rules).rules)
    else:
        home, told = tree_from(rules).rules, _progress(sys.stderr.isatty())
        summary = run_batch(source, target, workers or cores, rules=home, resume=resume, progress=told)
    again = f", {summary.resumed} of them from the earlier run" if summary.resumed else ""
    typer.echo(f"{summary.lines} cases, {summary.errors} errors{again}", err=True)
    if summary.errors:
        sys.exit(FINDINGS)


def _progress(shown: bool) -> Progress:
    """Draws a bar on a terminal, not before the first second is over."""
    begun = time.monotonic()

    def progress(lines: int, share: float) -> None:
        seconds = time.monotonic() - begun
        if not shown or seconds < 1.0:
            return
        filled = round(share * _BAR)
        bar = "#" * filled + "." * (_BAR - filled)
        end = "\n" if share >= 1.0 else ""
        typer.echo(f"\r[{bar}] {share:4.0%}  {lines} cases, {lines / seconds:.0f} a second ", nl=False, err=True)
        typer.echo(end, nl=False, err=True)

    return progress
