"""Notes between the people of a student."""
