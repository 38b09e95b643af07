"""What to read by hand next, with which gauge, and what to ask before the visitor leaves."""
