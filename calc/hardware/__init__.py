"""What the joint is made of: threads, nuts, materials, friction."""
