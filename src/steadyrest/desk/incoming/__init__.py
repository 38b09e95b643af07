"""A part comes in: read, asked about, laid beside what was here before."""
