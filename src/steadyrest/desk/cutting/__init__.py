"""Bars and plates are cut up: lists, nests, carry blanks, and what is left goes back to the rack."""
