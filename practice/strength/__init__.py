"""Strength tests and how they were agreed to."""
