"""The water's balance as text and JSON."""
