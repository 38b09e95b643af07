"""How long a run takes: acceleration, corners, rapids, constant surface speed; constants fitted from timed runs.

Start at machine_time.py.
"""
