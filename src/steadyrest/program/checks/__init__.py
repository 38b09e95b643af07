"""Measurements inside a running program: those there are, what they can catch, and those that would pay.

Start at hold_points.py.
"""
