"""A sheet drawn into a cavity: a soap film under pressure, laid down triangle by triangle where it touches.

As in trough.py: the free film has even thickness and the least area for the volume under it, what touches sticks, and a
film that the mould cuts in two becomes two films. A triangle is laid when its last corner touches; its thickness is the
film's at that moment.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from steadyrest.stations.form import film as soap
from steadyrest.stations.form.cavity import Cavity
from steadyrest.stations.form.flipping import flipped
from steadyrest.stations.form.laying import laid_flat, split_in_four
from steadyrest.stations.form.touching import Boxes, boxed, meets
from steadyrest.trouble import BadInput

FloatArray = npt.NDArray[np.float64]
IndexArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

TRIANGLES = 8000  # of the flat sheet
FINEST = 48_000  # a film of more is not split again
COARSE = 0.11  # a film is split where a triangle's side times its pressure is more
SHARP = 1e-3  # of the rim's size: a film thins on until its radius is this, or its own thickness
FOLLOWED = 0.01  # of the rim's size: the radius down to which its triangles are followed
LOST = 0.9  # side times pressure at which so small a film is no longer told by its triangles
FEWEST = 12  # free corners
THINNER = 0.01  # of its thickness: what a film may lose in one step
FURTHER = 0.2  # of a triangle's side: how far it may move in one step
STEPS = 2500  # what is not laid by then is left bridging, and the area that lacks is told
ABOVE, BELOW = 0.3, 0.2  # of a triangle's side: how far over and under the middle of a side the mould is looked for
FULL = 1.1  # of the cavity: no sheet that lies on it has more area
MOST = 1.5  # of cavity and rim together: a film of more area has gone through the mould
EVENED = 0.5
SOFT = 0.05  # a film that thins by less than this power of its radius closes no corner worth the name
MENDED, LIFTED = 1e-3, 1e-2  # of the push: how well the film is brought into balance in one step


@dataclass(frozen=True, slots=True)
class _Film:
    """A film. points: (n, 3). faces: (m, 3). held: (n,) points that lie on mould or rim. thick: how thick it is.
    pressure: on it, over its tension, 1/mm."""

    points: FloatArray
    faces: IndexArray
    held: BoolArray
    thick: float
    pressure: float
    lift: FloatArray
    way: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Drawn:
    """A sheet on its mould. corners_mm: (m, 3, 3) of its triangles. thick_mm: (m,). radius_mm: (m,) of those that
    bridge a corner of the mould still; 0: laid. power: (m,) the film there thins by this power of its radius.
    least_mm: the thinnest, followed into the corners; least_at_mm: there. bridges: whether that is in a corner."""

    corners_mm: FloatArray
    thick_mm: FloatArray
    radius_mm: FloatArray
    power: FloatArray
    least_mm: float
    least_at_mm: FloatArray
    bridges: bool

    def area_mm2(self) -> FloatArray:
        """The area of each triangle, (m,)."""
        return soap.areas(self.corners_mm.reshape(-1, 3), np.arange(3 * len(self.thick_mm)).reshape(-1, 3))


def drawn_into(
    cavity: Cavity,
    start_mm: float,
    *,
    where: str,
    progress: Callable[[str, float], None],
    stop: Callable[[], bool],
    coarse: float = COARSE,
) -> Drawn:
    """How thick a sheet is everywhere after it was drawn into a cavity.

    Args:
        cavity: rims and surface.
        start_mm: thickness of the sheet; > 0.
        where: the mould's file, for messages.
        progress: told how much of the sheet is laid.
        stop: asked now and then.
        coarse: the side of the triangles as a share of the film's radius, at most; twice as much is four times faster.
    Returns: the sheet on the mould.
    Raises: BadInput: the surface has a hole, or the rim cannot be covered. InterruptedError: stop said so.
    Source: derived here; checked against closed forms in tests/checks/test_thinning.py.
    """
    boxes = boxed(cavity.surface)
    waiting: list[_Film] = []
    for rim in cavity.rims:
        count = TRIANGLES * rim.area / cavity.rim_mm2 * (COARSE / coarse) ** 2
        points, faces, held = laid_flat(rim, max(200, round(count)), where)
        waiting.append(_Film(points, faces, held, start_mm, 0.0, np.zeros_like(points)))
    smallest = SHARP * math.sqrt(cavity.rim_mm2)
    laid = _Laid([], [], [], [], [0.0])
    least, least_at, bridges = start_mm, waiting[0].points[0], False
    steps, volume = 0, cavity.rim_mm2 * start_mm
    while waiting:
        film = waiting.pop()
        if steps >= STEPS or _is_last(film, smallest):
            power = _power(film)
            laid.add(film, np.ones(len(film.faces), dtype=np.bool_), film.thick, power)
            last = _into_the_corner(film, power, smallest)
            if last < least:
                least, least_at, bridges = last, film.points[~film.held][0], power > SOFT
            continue
        film = _finer(film, boxes, coarse)
        film = replace(film, faces=flipped(film.points, film.faces))
        waiting.extend(_stepped(film, boxes, laid))
        steps += 1
        if steps % 50 == 0:
            if stop():
                raise InterruptedError
            progress("drawing the sheet", min(1.0, laid.volume[0] / volume))
            _refuse_a_hole(film, cavity, where)
    progress("drawing the sheet", 1.0)
    corners, thick, radius, powers = laid.whole()
    if _area(corners) > FULL * cavity.area_mm2:
        what = "the sheet comes to lie beside its surface: it has a hole, or crosses itself."
        raise BadInput(where=where, what=what, do="Close the surface and export it again.")
    thinnest = int(thick.argmin())
    if thick[thinnest] < least:
        least, least_at, bridges = float(thick[thinnest]), corners[thinnest].mean(axis=0), False
    return Drawn(corners, thick, radius, powers, least, least_at, bridges)


@dataclass(frozen=True, slots=True)
class _Laid:
    """What is laid so far, a list of arrays each; volume: of it all, the only entry."""

    corners: list[FloatArray]
    thick: list[FloatArray]
    radius: list[FloatArray]
    power: list[FloatArray]
    volume: list[float]

    def add(self, film: _Film, which: BoolArray, thick: float, power: float | None = None) -> None:
        """Put triangles down; with a power they still bridge a corner."""
        corners = film.points[film.faces[which]]
        many = len(corners)
        radius = 1 / film.pressure if power is not None and film.pressure > 0 else 0.0
        self.volume[0] += thick * _area(corners)
        self.corners.append(corners)
        self.thick.append(np.full(many, thick))
        self.radius.append(np.full(many, radius))
        self.power.append(np.full(many, power or 0.0))

    def whole(self) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        return tuple(np.concatenate(one) for one in (self.corners, self.thick, self.radius, self.power))  # type: ignore[return-value]


def _area(corners: FloatArray) -> float:
    return float(soap.areas(corners.reshape(-1, 3), np.arange(3 * len(corners)).reshape(-1, 3)).sum())


def _side(film: _Film, area: float) -> float:
    """The side of the film's triangles, were they all alike."""
    return math.sqrt(area / len(film.faces) / (math.sqrt(3) / 4))


def _is_last(film: _Film, smallest: float) -> bool:
    """Whether a film is too tight, or too small, to be followed by its triangles."""
    if int((~film.held).sum()) < FEWEST or film.pressure * max(film.thick, smallest * FOLLOWED / SHARP) >= 1:
        return True
    return _side(film, float(soap.areas(film.points, film.faces).sum())) * film.pressure > LOST


def _power(film: _Film) -> float:
    """A film that closes a corner thins by a power of its radius, taken here from its last way; 0: it closes none."""
    if len(film.way) < 2 or int((~film.held).sum()) < FEWEST:
        return 0.0
    now, thick = math.log(film.pressure), math.log(film.thick)
    before = next((one for one in reversed(film.way) if one[0] <= now - 0.5), None)
    return 0.0 if before is None else max(0.0, (before[1] - thick) / (now - before[0]))


def _into_the_corner(film: _Film, power: float, smallest: float) -> float:
    """How thin a film becomes at last, in the corner that it closes."""
    if power <= 0 or film.pressure * film.thick >= 1:
        return film.thick
    now, thick, end = math.log(film.pressure), math.log(film.thick), -math.log(smallest)
    if power < 1:  # thickness meets radius somewhere; a steeper corner thins faster than it closes
        end = min(end, (thick + power * now) / (power - 1))
    return math.exp(thick - power * max(0.0, end - now))


def _finer(film: _Film, boxes: Boxes, coarse: float) -> _Film:
    """The film with triangles small enough for its radius, as far as that can be afforded."""
    side = _side(film, float(soap.areas(film.points, film.faces).sum()))
    if side * film.pressure <= coarse or 4 * len(film.faces) > FINEST * (COARSE / coarse) ** 2:
        return film
    points, faces, ends, border = split_in_four(film.points, film.faces)
    old = len(film.points)
    both = film.held[ends].all(axis=1)
    onto, near, behind = _onto_mould(film, boxes, points[old:], ends, side)
    on = border | behind | (both & near)
    points[old:][on & near] = onto[on & near]
    lift = np.concatenate((film.lift, film.lift[ends].mean(axis=1)))
    return replace(film, points=points, faces=faces, held=np.concatenate((film.held, on)), lift=lift)


def _onto_mould(
    film: _Film, boxes: Boxes, middles: FloatArray, ends: IndexArray, side: float
) -> tuple[FloatArray, BoolArray, BoolArray]:
    """Each middle shifted onto the mould along the film's normal; whether the mould is near; whether it was behind it.

    Over an edge of the mould that points into the film, the middle of a side lies inside the mould.
    """
    normal = soap.volume_gradient(film.points, film.faces)[ends].sum(axis=1)
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    begin, end = middles - ABOVE * side * normal, middles + BELOW * side * normal
    share = meets(boxes, begin, end, np.zeros(len(middles), dtype=np.bool_))
    near = share <= 1
    behind = share < ABOVE / (ABOVE + BELOW) - 1e-9
    return begin + np.where(near, share, 0.0)[:, None] * (end - begin), near, behind


def _stepped(film: _Film, boxes: Boxes, laid: _Laid) -> list[_Film]:
    """The film a little further: what it laid is put down, and what is left of it, in as many pieces as it has."""
    area = float(soap.areas(film.points, film.faces).sum())
    gain = FURTHER * _side(film, area) * area
    if film.pressure > 0:
        gain = min(gain, THINNER * area / film.pressure)
    points, pressure, lift = _swollen(film, gain)
    share = meets(boxes, film.points, points, film.held)
    touched = share <= 1
    points[touched] = film.points[touched] + share[touched, None] * (points[touched] - film.points[touched])
    held = film.held | touched
    now = soap.areas(points, film.faces)
    down: BoolArray = np.all(held[film.faces], axis=1)  # type: ignore[assignment]
    put = float(now[down].sum())
    # What is laid during the step has the thickness of its middle: the film's volume is kept exactly.
    thick = film.thick * (area - 0.5 * put) / max(float(now.sum()) - 0.5 * put, 1e-300)
    moved = replace(film, points=points, held=held, pressure=pressure, lift=lift)
    laid.add(moved, down, 0.5 * (film.thick + thick))
    way = film.way
    if pressure > 0 and (not way or abs(math.log(pressure) - way[-1][0]) > 0.05):
        way = (*way, (math.log(pressure), math.log(thick)))
    return _pieces(replace(moved, faces=film.faces[~down], thick=thick, way=way))


def _swollen(film: _Film, gain: float) -> tuple[FloatArray, float, FloatArray]:
    """Corners, pressure, and the corners' way for one more of pressure, with so much more volume under the film."""
    weight = soap.weights(film.points, film.faces)
    push = soap.volume_gradient(film.points, film.faces)
    pulled = np.empty_like(push)
    soap.pull(film.points, film.faces, weight, pulled)
    free = ~film.held
    size = math.sqrt(float((push[free] ** 2).sum()))
    none = np.zeros_like(push)
    small = MENDED * max(film.pressure, 1e-12) * size
    mended = soap.settled(film.faces, weight, film.held, film.pressure * push - pulled, none, small, 400)
    lift = soap.settled(film.faces, weight, film.held, push, film.lift, LIFTED * size, 400)
    base = film.points + mended
    wanted = soap.volume(film.points, film.faces) + gain
    more, slope = 0.0, float((push * lift).sum())
    for _ in range(4):
        off = wanted - soap.volume(base + more * lift, film.faces)
        more += off / slope
    points = base + more * lift
    for _ in range(2):
        points = soap.evened(points, film.faces, film.held, EVENED)
    return points, film.pressure + more, lift


def _pieces(film: _Film) -> list[_Film]:
    """The parts of a film that hang together over free corners, each with its own corners only."""
    if not len(film.faces):
        return []
    free = ~film.held
    a, b = film.faces[:, [0, 1, 2]].ravel(), film.faces[:, [1, 2, 0]].ravel()
    both = free[a] & free[b]
    graph = coo_matrix((np.ones(int(both.sum())), (a[both], b[both])), shape=(len(free), len(free)))
    _, label = connected_components(graph, directed=False)
    owner = np.where(free[film.faces], label[film.faces], -1).max(axis=1)
    found: list[_Film] = []
    for one in np.unique(owner):
        faces = film.faces[owner == one]
        kept, again = np.unique(faces, return_inverse=True)
        found.append(
            replace(
                film, points=film.points[kept], faces=again.reshape(-1, 3), held=film.held[kept], lift=film.lift[kept]
            )
        )
    return found


def _refuse_a_hole(film: _Film, cavity: Cavity, where: str) -> None:
    """Raise BadInput where the film has gone through the mould's surface."""
    bottom = float(cavity.surface[:, :, 2].min())
    low = int(film.points[:, 2].argmin())
    x, y, z = film.points[low]
    if z < bottom - 1e-3 * abs(bottom) or _area(film.points[film.faces]) > MOST * (cavity.area_mm2 + cavity.rim_mm2):
        what = f"its surface has a hole: the sheet goes through near x {x:.1f} y {y:.1f} mm."
        raise BadInput(where=where, what=what, do="Close the surface and export it again.")
