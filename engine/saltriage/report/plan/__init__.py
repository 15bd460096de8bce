"""A plan as text, JSON, HTML, and a calendar."""
