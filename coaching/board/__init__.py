"""Who needs me, and a student's page."""
