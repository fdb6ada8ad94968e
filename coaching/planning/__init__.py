"""Setting a week, for one and for several, and the planner."""
