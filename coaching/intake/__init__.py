"""First questions: what a student can say before the first week, and what a coach makes of it."""
