"""Paper back: as-tightened values against the plan, and the hand-over."""
