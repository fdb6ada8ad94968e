"""A studio moved to another house, and the past asked by a command."""
