"""A scan that is not turned: surfaces anywhere, then what opens into, stands on and lies between its faces."""
