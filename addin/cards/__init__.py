"""What each printed part says."""
