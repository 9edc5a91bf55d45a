"""Checks of what was read that do not ask how it was read."""
