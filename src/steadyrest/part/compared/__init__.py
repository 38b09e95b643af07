"""Two parts, or two readings of one, laid beside each other."""
