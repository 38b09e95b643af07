"""From a mesh to patches: surfaces that a plane, cylinder, cone, sphere or ring describes, and the rest as free.

Two ways in, one way out: a scan (noise everywhere, edges rounded), a mesh made from a solid (few exact triangles).
Not here: names of features, nominal sizes. Start at graph.py: `scan_graph`; it reads like the order of work.
"""
