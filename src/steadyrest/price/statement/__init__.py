"""A statement of hours, machines, travel and goods, to the cent: what is owed for work that was done.

Start at statement.py, then hours.py (where the factor changes, how hours are rounded) and tax.py. asked.py reads the
request. Not here: what a job should cost beforehand (price.py), how the paper looks (papers).
"""
