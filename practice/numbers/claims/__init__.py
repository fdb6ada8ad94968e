"""The claims tried on invented students."""
