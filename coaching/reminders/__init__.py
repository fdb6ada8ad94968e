"""Reminders: rules, what is due, notices."""
