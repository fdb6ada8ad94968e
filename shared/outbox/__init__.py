"""The one way out for mail."""
