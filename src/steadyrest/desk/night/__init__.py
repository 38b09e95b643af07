"""What runs with nobody there: programs checked, handed over and timed; and who asks after somebody alone."""
