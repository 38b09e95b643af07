"""Which flats lie on a surface, asked one by one in plain Python: the slow twin of part/segment/strip_walks.py."""

from __future__ import annotations

import numpy as np

from steadyrest.part.segment.found import outward


def reached_slowly(skin, flats, seed, surface, whose, tolerance):
    """Flats reached from a seed over soft edges whose corners all lie on a surface, as a set; whether it is hollow."""

    def lean(k):
        return float(outward(surface, False, flats.point[k][None])[0] @ flats.normal[k])

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
