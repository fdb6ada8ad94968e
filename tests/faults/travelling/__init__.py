"""An installation whose clock is told by a file, for faults that take a year."""
