"""Strength sets."""
