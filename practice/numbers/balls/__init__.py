"""One sitting's balls."""
