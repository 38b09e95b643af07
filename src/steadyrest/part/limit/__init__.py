"""Limits of a size: by what runs, sits or seals there, by what is cut into it, else the general tolerance."""
