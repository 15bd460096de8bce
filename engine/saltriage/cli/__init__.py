"""The command line: parse, call one function, hand its result to a report."""

from saltriage.cli.main import main

__all__ = ["main"]
