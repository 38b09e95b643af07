"""A solid model as patches.

A STEP file's bytes become exact patches and joints in mm. The kernel is called in kernel/ only; what comes out of
there are plain values. Not here: which text may reach the kernel (files/step.py), features (features/).
Start at graph.py.
"""
