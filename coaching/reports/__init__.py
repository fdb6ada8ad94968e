"""Reports to students and guardians."""
