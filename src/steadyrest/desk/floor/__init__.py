"""People and things of the floor: the clock, who may do what, gauges and tools, what is measured."""
