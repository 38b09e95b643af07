"""A worn part and the hand-held scan of it: a forward model, for the demo and as truth for tests.

true_part.py says what the part is, true_body.py how far a point is from its surface, nets.py puts triangles there,
sight.py leaves out what no camera saw (or bridges it), noise.py shakes the rest. The door is demo/scan.py.
Not here: anything that measures. Nothing of this may be imported by the rooms that read scans, nor import them, so that
the estimator is never judged by its own model.
"""
