"""What moved."""
