"""Short films, and voice notes of 15 seconds."""
