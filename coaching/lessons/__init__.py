"""The lesson record and what follows from it."""
