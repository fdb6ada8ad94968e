"""Credit and tallies of a student's weeks, and rebuilding them."""
