"""A follow-up as text, JSON, HTML; the page for whoever takes over."""
