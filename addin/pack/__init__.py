"""Paper and back: the plan file and the printed cards."""
