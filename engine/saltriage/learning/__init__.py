"""What closed calls say of the words of the rules: proposals, and on demand the edited files."""
