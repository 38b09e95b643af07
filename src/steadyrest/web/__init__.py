"""The app: one of the two doors.

Server-rendered pages that work without script; a small bundle where a picture moves. A handler parses, calls one desk
verb, shows one page dataclass (pages/). Not here: rules, figures, storage. Start at app.py.
"""
