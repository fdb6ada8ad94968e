"""Lessons that come back, days off and holidays; each is noted ahead as a lesson."""
