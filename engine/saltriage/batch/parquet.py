"""The same with Parquet files: a column ``case`` of JSON texts in, a column ``result`` of JSON texts out.

Needs pyarrow, which is not installed with Saltriage. Either side may be newline-delimited JSON.
"""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from saltriage.batch.run import CHUNK_LINES, BatchSummary, file_chunks, is_error, results_in_order
from saltriage.errors import UsageRefused

__all__ = ["run_parquet"]


def run_parquet(source: Path, target: Path, workers: int = 1, rules: Path | None = None) -> BatchSummary:
    """Diagnose every row; the target appears in one step when it is whole. Not resumable.

    Raises: UsageRefused: pyarrow is missing, a file or its ``case`` column is missing, or the target exists.
    """
    arrow, parquet = _pyarrow()
    if target.exists():
        raise UsageRefused(f"{target} exists; name another file or delete it")
    if not source.exists():
        raise UsageRefused(f"{source}: no such file")
    part = target.with_name(target.name + ".part")
    total = errors = 0
    schema = arrow.schema([("result", arrow.string())])
    with open(source, "rb") as lines:
        chunks = _rows(source, parquet) if source.suffix == ".parquet" else file_chunks(lines, 0)
        writer = parquet.ParquetWriter(part, schema) if target.suffix == ".parquet" else None
        output = None if writer else open(part, "wb")  # noqa: SIM115  closed below with the writer
        try:
            for results in results_in_order(chunks, workers, rules):
                if writer:
                    writer.write_table(arrow.table({"result": [each.decode() for each in results]}, schema=schema))
                elif output:
                    output.write(b"".join(each + b"\n" for each in results))
                total += len(results)
                errors += sum(is_error(each) for each in results)
        finally:
            for open_file in (writer, output):
                if open_file:
                    open_file.close()
    os.replace(part, target)
    return BatchSummary(total, errors, 0)


def _pyarrow() -> tuple[Any, Any]:
    try:
        import pyarrow
        import pyarrow.parquet
    except ImportError:
        raise UsageRefused("Parquet files need pyarrow: pip install pyarrow") from None
    return pyarrow, pyarrow.parquet


def _rows(source: Path, parquet: Any) -> Iterator[list[tuple[int, bytes]]]:
    file = parquet.ParquetFile(source)
    if "case" not in file.schema_arrow.names:
        raise UsageRefused(f"{source}: no column 'case'; found {', '.join(file.schema_arrow.names)}")
    number = 0
    for batch in file.iter_batches(CHUNK_LINES, columns=["case"]):
        rows = [(number + place, (text or "").encode()) for place, text in enumerate(batch["case"].to_pylist(), 1)]
        number += len(rows)
        yield rows
