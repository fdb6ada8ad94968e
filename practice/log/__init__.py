"""What a student logged: entries and their results, the document they come in, its clock."""
