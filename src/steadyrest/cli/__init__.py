"""The command line: one of the two doors.

Parses, calls one desk verb, shows. Words and progress go to standard error, one JSON document to standard output.
Not here: what an answer is (desk), how it is worded (wording). Start at main.py; answers.py holds the contract's keys.
"""
