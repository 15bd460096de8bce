"""The pool as physics sees it: water, cell, forecast, units, intervals. Knows no rules."""
