"""Weeks, units, text and drawing: pure, and the same for everybody."""
