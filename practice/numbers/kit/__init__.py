"""What every page of numbers uses."""
