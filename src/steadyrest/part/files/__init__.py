"""Files of shapes by others, read from bytes: what kind one is goes by its content, not by its name.

Here: meshes (PLY, STL, OBJ, 3MF) become a cleaned `Mesh`. Not here: what the shape is (segment/), solids'
surfaces (solid/). Start at meshes.py: `read_mesh`. A new mesh format is a module with one reader and a line in
`READERS`.
"""
