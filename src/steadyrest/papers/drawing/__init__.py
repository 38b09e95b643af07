"""Drawings: pictures as SVG text, from plain values; for papers and pages alike.

The part with its wear and sizes (part_picture.py), ten pegs (pegs.py). All lengths in a drawing are millimetres on
paper; what a state or a depth means stands there as a word, a number or a mark, never as colour alone.
Not here: pages, templates, PDF. Start at part_picture.py, then ink.py (strokes, text, colours).
"""
