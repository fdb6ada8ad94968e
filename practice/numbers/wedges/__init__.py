"""The wedge card."""
