"""Processes with limits on time and memory: the only way in for a stranger's file.

Not here: what is read (part/). Start at running.py.
"""
