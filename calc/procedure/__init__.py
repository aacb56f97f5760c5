"""In which steps: passes and order."""
