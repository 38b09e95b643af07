"""How, forming: a hot sheet drawn into a mould, how thin it gets where, and how long it heats before.

Asked a ThinningWanted or a HeatingWanted (asked.py reads them from a request); gives a thickness everywhere, or a time.
Not here: clamp force and cooling of mouldings (stations/mould), conduction itself (stations/slab.py).
Start at heating.py, then trough.py, where the film is an arc; bubble.py is the same in three dimensions.
"""
