"""A mesh made from a solid: flat pieces, and the turned surfaces that their strips follow."""
