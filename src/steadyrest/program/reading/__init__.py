"""An NC program's text as a run: words, modal state, cycles, macros, calls, compensation.

Start at read.py (the door), then flow.py, which goes through the lines as a control would; quick.py does the same for
plain lines, compiled. dialect.py says what a machine understands by its words.
"""
