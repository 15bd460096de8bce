"""What every report shares: words, pictures, templates."""
