"""A second forward model of scans, for judging only: drawings, wear, a scanner with line of sight, and a scorer.

It shares no code with the reader, with the demo scans or with the other forward model, and is not collected by pytest.
Start at drawing.py (what a truth is), then score.py. Mesh files never enter the repository.
"""
