"""The same with Parquet files: a column ``case`` of JSON texts in, a column ``result`` of JSON texts out.

Needs pyarrow, which is not installed with Saltriage. Either side may be newline-delimited JSON.
"""

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from saltriage.batch.lines import Line
from saltriage.batch.pool import results_in_order
from saltriage.batch.run import CHUNK_LINES, BatchSummary, file_chunks, is_error, opened, refuse_target
from saltriage.errors import UsageRefused

__all__ = ["run_parquet"]


def run_parquet(source: Path, target: Path, workers: int = 1, rules: Path | None = None) -> BatchSummary:
    """Diagnose every row; the target appears in one step when it is whole. Not resumable.

    Raises:
        UsageRefused: pyarrow is missing, a file or its ``case`` column is missing, or the target exists.
        OSError: reading or writing failed; nothing is left behind.
    """
    arrow, parquet = _pyarrow()
    refuse_target(target)
    part = target.with_name(target.name + ".part")
    total = errors = 0
    try:
        with opened(source) as lines, _writer(part, target.suffix == ".parquet", arrow, parquet) as write:
            chunks = _rows(source, arrow, parquet) if source.suffix == ".parquet" else file_chunks(lines, 0)
            for results in results_in_order(chunks, workers, rules):
                write(results)
                total += len(results)
                errors += sum(map(is_error, results))
        os.replace(part, target)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    return BatchSummary(total, errors, 0)


def _pyarrow() -> tuple[Any, Any]:
    try:
        import pyarrow
        import pyarrow.parquet
    except ImportError:
        raise UsageRefused("Parquet files need pyarrow: pip install pyarrow") from None
    return pyarrow, pyarrow.parquet


@contextmanager
def _writer(part: Path, as_parquet: bool, arrow: Any, parquet: Any) -> Iterator[Callable[[list[bytes]], object]]:
    """A function that appends results to the file."""
    if as_parquet:
        schema = arrow.schema([("result", arrow.string())])
        with parquet.ParquetWriter(part, schema) as writer:
            yield lambda results: writer.write_table(
                arrow.table({"result": [each.decode() for each in results]}, schema=schema)
            )
    else:
        with open(part, "wb") as output:
            yield lambda results: output.write(b"".join(each + b"\n" for each in results))


def _rows(source: Path, arrow: Any, parquet: Any) -> Iterator[list[Line]]:
    try:
        file = parquet.ParquetFile(source)
    except arrow.ArrowInvalid as reason:
        raise UsageRefused(f"{source}: not a Parquet file ({reason})") from None
    with file:
        if "case" not in file.schema_arrow.names:
            raise UsageRefused(f"{source}: no column 'case'; found {', '.join(file.schema_arrow.names)}")
        number = 0
        for batch in file.iter_batches(CHUNK_LINES, columns=["case"]):
            texts = [text.encode() if isinstance(text, str) else text or b"" for text in batch["case"].to_pylist()]
            yield list(enumerate(texts, number + 1))
            number += len(texts)
