"""Cylinders of an exact mesh but for an exporter's small errors: whole smooth pieces that nearly lie on one."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from steadyrest.part.fit import round as rounds
from steadyrest.part.fit.solve import spread, tukey
from steadyrest.part.segment.exact_mesh.flats import Flats
from steadyrest.part.segment.exact_mesh.strips import cylinder_along, lying_on
from steadyrest.part.segment.found import Found, outward
from steadyrest.part.segment.skin import Skin

IntArray = npt.NDArray[np.int64]

# Of the size, of the radius: some exporters move corners a little where surfaces cut each other.
ROUGH, ROUGH_ROUND = 5e-4, 3e-3
LEAST = 12  # strips to a piece
WHOLE_ARC = 2.0  # rad that such a rough piece must reach round to be believed
COMPARED = 400  # strips whose directions are compared


def add_whole_pieces(skin: Skin, flats: Flats, found: list[Found], whose: IntArray) -> None:
    """Smooth pieces left over that are cylinders but for an exporter's small errors; found and whose grow in place.

    Args:
        skin: made ready. flats: its coplanar pieces. found: finds so far. whose: (flats,) find of each flat, -1 none.
    """
    for piece in _pieces(flats, whose):
        normals = flats.normal[piece] * np.sqrt(flats.area[piece])[:, None]
        points = skin.points[flats.corners_of(piece)]
        start = cylinder_along(points, np.linalg.eigh(normals.T @ normals)[1][:, 0])
        if not np.isfinite(start.radius_mm) or not 0 < start.radius_mm < 2 * skin.size_mm:
            continue
        w = tukey(start.distances(points), 6 * spread(start.distances(points)) + 0.2 * ROUGH * skin.size_mm)
        if np.count_nonzero(w) < LEAST:
            continue
        surface = rounds.cylinder(points, start, w, rounds=25)
        good = lying_on(skin, flats, piece, surface, min(ROUGH * skin.size_mm, ROUGH_ROUND * surface.radius_mm))
        if flats.area[good].sum() <= 0.6 * flats.area[piece].sum():
            continue
        some = flats.normal[good[:: max(1, len(good) // COMPARED)]]
        if float(np.arccos(np.clip((some @ some.T).min(), -1, 1))) > WHOLE_ARC:
            k = good[0]
            hollow = float(outward(surface, False, flats.point[k][None])[0] @ flats.normal[k]) < 0
            whose[good] = len(found)
            found.append(Found(surface, flats.corners_of(good), hollow))


def _pieces(flats: Flats, whose: IntArray) -> list[list[int]]:
    """Flats without a find that hang together over soft edges, enough of them; the largest flat's first."""
    seen = (whose >= 0).tolist()
    out: list[list[int]] = []
    for seed in np.argsort(-flats.area, kind="stable").tolist():
        if seen[seed]:
            continue
        piece, queue = [seed], [seed]
        seen[seed] = True
        while queue:
            for k in flats.soft(queue.pop()):
                if not seen[k]:
                    seen[k] = True
                    piece.append(k)
                    queue.append(k)
        if len(piece) >= LEAST:
            out.append(piece)
    return out
