"""Tools for maintainers of rules: mutation, coverage, comparison, scaffolds, pictures."""
