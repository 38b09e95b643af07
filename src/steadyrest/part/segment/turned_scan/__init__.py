"""A scan of a turned part: its axis's half section, and every stretch, step, groove and hole circle of it."""
