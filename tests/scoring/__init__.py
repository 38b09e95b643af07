"""How well turned scans are read: random parts, scanned, read and scored. Not a test; nothing here is collected.

    python -m tests.scoring.turned --count 40 --seed 1

drawn.py draws a part and how it is scanned, matched.py sets what was read against what is true, turned.py prints the
tables. The parts, their work and their wear share nothing with what reads them but the published tables.
"""
