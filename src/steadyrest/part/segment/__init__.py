"""From a mesh to patches: every surface that a plane, cylinder, cone, sphere or ring describes, and the rest as free.

Two ways in, one way out: a scan (noise everywhere, edges rounded) and a mesh made from a solid (few large exact triangles).
Not here: names of features, nominal sizes. Start at graph.py: `scan_graph`; it reads like the order of work.
"""
