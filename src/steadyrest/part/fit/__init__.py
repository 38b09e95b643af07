"""Least squares by true distance: line, plane, circle, sphere, cylinder, cone, ring; weights and uncertainty included.

Here points are fitted that somebody else chose. Start at solve.py (the one iteration), then circle.py.
"""
