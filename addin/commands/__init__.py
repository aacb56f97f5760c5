"""The commands that are more than a few lines."""
