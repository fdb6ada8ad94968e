"""The load of weeks."""
