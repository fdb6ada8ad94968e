"""The ladder."""
