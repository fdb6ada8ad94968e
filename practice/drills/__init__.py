"""Drills as they are written down: doses, protocols, revisions, cautions."""
