"""What to do about a ranking: actions in order, doses, cautions, and what a stop rule forbids."""
