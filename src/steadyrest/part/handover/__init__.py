"""The recovered nominal part for other programs: profile as DXF, solid as STEP, sizes as CSV.

Here: nominal_profile.py (lengths and diameters as the drawing would show them), outline.py (its line with rounded
corners), arched.py (its arcs), keyed.py, holed.py, flatted.py, recessed.py (what is cut besides), dxf.py, step_out.py,
sizes.py, left_out.py (what each leaves out). Not here: pictures for people (papers/).
"""
