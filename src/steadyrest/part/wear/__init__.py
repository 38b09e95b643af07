"""Wear of round seats: how deep, from where to where, and the size before it."""
