"""What runs before there is a .venv: standard library and shell alone."""
