"""The shelf of drills as pages."""
