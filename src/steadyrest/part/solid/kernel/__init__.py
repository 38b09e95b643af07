"""The geometry kernel, and nothing else touches it.

reading.py takes bytes and gives faces and edges as plain values: sound_shape.py brings the shape in, faces.py, rims.py
and meetings.py take it apart, surfaces.py names the surface under a face. building.py makes a turned solid and writes
it, faceting.py lays one out in triangles. The kernel prints to the process's standard output and can hang or die
on hostile input, so it runs where a worker limits it.
"""
