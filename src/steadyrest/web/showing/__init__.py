"""From the desk's answers to page dataclasses: everything worded, nothing computed.

Not here: how it looks (templates/). Start at job_sheet.py.
"""
