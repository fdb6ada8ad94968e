"""What one person does across tables, each in one transaction."""
