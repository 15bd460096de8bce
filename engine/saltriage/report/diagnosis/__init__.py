"""A diagnosis as text, JSON, HTML, and one line for a ticket."""
