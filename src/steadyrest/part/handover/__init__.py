"""The recovered nominal part for other programs: profile or outline as DXF, solid as STEP, sizes as CSV.

Turned: nominal_profile.py (lengths and diameters as the drawing would show them), outline.py (its line with rounded
corners), arched.py (its arcs), keyed.py, holed.py, flatted.py, recessed.py, slotted.py (what is cut besides),
datum_marks.py. Not turned: levels.py (where faces stand), stepped.py (boxes between them), rounded.py, slanted.py,
milled.py (all of it together). Both: dxf.py, step_out.py, sizes.py, left_out.py (what each leaves out), read_back.py.
Not here: pictures for people (papers/).
"""
