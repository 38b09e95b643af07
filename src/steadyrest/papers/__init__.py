"""The papers and the pictures, filled from plain values.

Typst templates and the code that fills them; drawing/ makes the pictures that page and paper share. Not here: which
figures stand on a paper (desk). Start at job_sheet.py.
"""
