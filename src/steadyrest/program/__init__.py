"""What an NC program does: read, timed, met with the stock, and judged before the light goes out.

A program (lines of words) becomes a run (run.py): its moves in machine coordinates and the events between them, as the
control would execute them. Time, travel, removal, hold points and survival are asked of the run, never of the text.
Not here: which machine may stand alone in the week's plan (promise), what a part should measure (part, measure).
Start at run.py, then read.py.
"""
