"""The asked week and its parts, excused days, templates."""
