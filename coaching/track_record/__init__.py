"""What the forecast said and what came of it."""
