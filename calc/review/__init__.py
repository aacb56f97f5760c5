"""As-tightened values against the plan."""
