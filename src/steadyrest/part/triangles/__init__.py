"""A surface made of triangles: cleaned, its bodies told apart, its volume and mass, its inside, its sides."""
