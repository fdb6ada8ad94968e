"""A whole list of students brought at once: looked at, brought, invited, taken back."""
