"""What stands against leaving a program alone: one module for each family of findings.

Each is asked a Case (the run, its times, the machine, what the shop says of the program) and gives Findings: kind,
line, what, do, and the cure where there is one that needs no change of the program.
A finding is one cause, not one move: a stop in a loop is one, a path that stays outside the travel is one.
Not here: reading (read.py), the answer as a whole (leave.py). Start at finding.py, then stops.py, the smallest.
"""
