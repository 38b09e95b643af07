"""A part or a parts list is planned, and what was planned is kept."""
