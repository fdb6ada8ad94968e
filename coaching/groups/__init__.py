"""Groups of students and their test days."""
