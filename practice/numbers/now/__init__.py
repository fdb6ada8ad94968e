"""The numbers kept for lists of students, made by the tick."""
