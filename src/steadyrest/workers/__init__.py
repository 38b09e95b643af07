"""Processes with limits on time and memory: the only way in for a stranger's file.

One process a file: a file that hangs, eats the memory or breaks the reader ends its own process and nothing else. Not a
wall against malice: the process runs as the same user. Not here: what is read (part/). Start at running.py.
"""
