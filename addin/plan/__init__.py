"""A plan as it is kept: made from the planner's columns, written, read back, compared with an older one."""
