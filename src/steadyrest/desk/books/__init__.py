"""What is kept as a whole: lists in and out, copies, the shop file, who changed what, and finding in all of it."""
