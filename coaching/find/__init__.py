"""Finding anything by a word."""
