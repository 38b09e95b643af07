"""The week: what is promised, what to do today, what a change would do, and how true it all was."""
