"""The day's lessons: door note, lesson note, hand-over, closing."""
