"""Tags and filters that every template knows."""
