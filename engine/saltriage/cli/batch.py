"""`saltriage batch IN.ndjson OUT.ndjson`"""

import os
import sys
from pathlib import Path
from typing import Annotated

import typer

from saltriage.cli.main import FINDINGS, app
from saltriage.cli.options import RulesOption


@app.command("batch")
def batch_command(
    source: Annotated[Path, typer.Argument(metavar="IN", help="One JSON case a line (.ndjson), or .parquet.")],
    target: Annotated[Path, typer.Argument(metavar="OUT", help="One JSON result a line, or .parquet.")],
    workers: Annotated[int, typer.Option(help="Processes; the number of cores if left out.")] = 0,
    resume: Annotated[bool, typer.Option("--resume", help="Go on from a run that was stopped.")] = False,
    rules: RulesOption = None,
) -> None:
    """Diagnose many cases: a result or an error for every line, in order; exit code 1 when there were errors."""
    from saltriage.batch.run import run_batch

    shown = sys.stderr.isatty()

    def progress(lines: int) -> None:
        if shown:
            typer.echo(f"\r{lines} cases done", nl=False, err=True)

    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    if ".parquet" in (source.suffix, target.suffix):
        from saltriage.batch.parquet import run_parquet

        summary = run_parquet(source, target, workers or cores, rules)
    else:
        summary = run_batch(source, target, workers or cores, rules, resume, progress)
    again = f", {summary.resumed} of them from the earlier run" if summary.resumed else ""
    typer.echo(f"{chr(13) if shown else ''}{summary.lines} cases, {summary.errors} errors{again}", err=True)
    if summary.errors:
        sys.exit(FINDINGS)
