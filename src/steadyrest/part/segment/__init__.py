"""From a mesh to patches: surfaces that a plane, cylinder, cone, sphere or ring describes, and the rest as free.

Two ways in, one way out: a scan (noise everywhere, edges rounded; turned_scan, then prismatic_scan for what is left),
a mesh made from a solid (few exact triangles; exact_mesh). Not here: names of features, nominal sizes. Start at
graph.py: `scan_graph`; it reads like the order of work.
"""
