"""Which flats lie on a surface, asked one by one in plain Python: the slow twin of the walks over exact strips.

The surface's own normal is the slope of its distance, taken by small steps.
"""

from __future__ import annotations

import numpy as np

STEP = 1e-6


def slope_of(surface, at):
    """The unit normal of a surface beside a point, outward."""
    steps = STEP * np.eye(3)
    ahead, behind = surface.distances(at + steps), surface.distances(at - steps)
    slope = (ahead - behind) / (2 * STEP)
    return slope / max(np.linalg.norm(slope), 1e-12)


def reached_slowly(skin, flats, seed, surface, whose, tolerance):
    """Flats reached from a seed over soft edges whose corners all lie on a surface, as a set; whether it is hollow."""

    def lean(k):
        return float(slope_of(surface, flats.point[k]) @ flats.normal[k])

    def lies(k):
        off = np.abs(surface.distances(skin.points[flats.corners_of([k])])).max()
        return off <= tolerance and abs(lean(k)) > 0.8

    hollow = lean(seed) < 0
    members, queue, known = {seed}, [seed], {seed}
    while queue:
        for k in flats.soft(queue.pop()):
            if k in known or whose[k] >= 0:
                continue
            known.add(k)
            if lies(k) and (lean(k) < 0) == hollow:
                members.add(k)
                queue.append(k)
    return members, hollow
