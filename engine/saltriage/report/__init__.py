"""One Diagnosis -> text, JSON, HTML. A report formats; it decides nothing."""
