"""Named parts with their truth, and the traps a scan sets: for judging whatever reads scans.

PARTS are invented parts to common standards; TRAPS are a part with a way of scanning it that has fooled simpler fits.
`steadyrest.demo.scan.scan` makes the mesh, `truth` says what it should be read as.
"""
