"""Backups made, sealed, and brought back."""
