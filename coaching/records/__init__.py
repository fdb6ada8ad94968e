"""What is kept of a person: its kinds, and its end."""
