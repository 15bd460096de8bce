"""Many cases: newline-delimited JSON in, one line out for every line in, in order; resumable, in constant memory."""

from saltriage.batch.run import BatchSummary, run_batch

__all__ = ["BatchSummary", "run_batch"]
