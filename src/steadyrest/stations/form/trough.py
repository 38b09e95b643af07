"""A sheet drawn into a long trough: in the section the free film is an arc of a circle, and everything is known of it.

*Film*: the free part, from its left to its right *hold*, where it lies on the mould. A hold is *pinned* at a corner
that points into the film, or *slides* along an edge to which the film is tangent. What touches sticks; the film's
thickness is even, so while its length L changes by dL and ds of it is laid on the mould, ln t changes by
-(dL + ds) / L. Where the film touches the mould between its holds, it becomes two films that know nothing of each other
any more.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]

STEPS, FEWEST = 160, 4  # samples of one stretch of the draw, at most and at least
CORNER_STEPS = 120  # samples, closer and closer, into a corner
SHARP = 1e-3  # of the rim's width: a film is followed until its radius is this, or its own thickness
SOFT = 0.05  # a film that thins by less than this power of its radius closes no corner worth the name
ANGLE = 1e-11
HALVINGS = 60


@dataclass(frozen=True, slots=True)
class Laid:
    """A stretch of the section in the order of its length: (k,) places along it, (k,) thickness there. bridges: the
    film stays off the mould there, in a sharp corner."""

    along_mm: FloatArray
    thick_mm: FloatArray
    bridges: bool = False


@dataclass(frozen=True, slots=True)
class _Edges:
    """The section from left to right, cavity on the left hand. at: where each edge begins along the section."""

    points: FloatArray
    at: FloatArray
    angle: FloatArray

    def point(self, edge: int, s: float) -> complex:
        x, z = self.points[edge]
        reach, angle = s - self.at[edge], self.angle[edge]
        return complex(x + reach * math.cos(angle), z + reach * math.sin(angle))


@dataclass(frozen=True, slots=True)
class _Film:
    """A film. left, right: the edge that each hold lies on, or will slide along next. a, b: where along the section.
    slides: whether each hold slides. half: half the arc's angle, where both are pinned. thick: how thick it is."""

    left: int
    a: float
    slides_left: bool
    right: int
    b: float
    slides_right: bool
    half: float
    thick: float


@dataclass(frozen=True, slots=True)
class _Moment:
    """A film's holds and its circle's half angle at one value of what drives it."""

    a: float
    b: float
    half: float


def drawn_trough(section_mm: FloatArray, start_mm: float) -> tuple[Laid, ...]:
    """How thick a sheet is everywhere after it was drawn into a trough without ends.

    Args:
        section_mm: (n, 2) corners x, z from rim to rim, both ends at z = 0, below it between; x of the last greater.
        start_mm: thickness of the sheet; > 0.
    Returns: stretches that cover the section, in its order.
    Source: derived here; checked against closed forms in tests/checks/test_thinning.py.
    """
    step = np.diff(section_mm, axis=0)
    length = np.hypot(step[:, 0], step[:, 1])
    angle = np.unwrap(np.arctan2(step[:, 1], step[:, 0]))  # a wall that leans back goes on turning
    edges = _Edges(section_mm, np.concatenate(([0.0], np.cumsum(length))), angle)
    smallest = SHARP * abs(float(section_mm[-1, 0] - section_mm[0, 0]))
    waiting = [_Film(0, 0.0, False, len(step) - 1, float(edges.at[-1]), False, 0.0, start_mm)]
    laid: list[Laid] = []
    while waiting:
        more, stretches = _followed(edges, waiting.pop(), smallest)
        waiting.extend(more)
        laid.extend(stretches)
    return tuple(sorted(laid, key=lambda one: (float(one.along_mm[0]), float(one.along_mm[-1]))))


def _followed(edges: _Edges, film: _Film, smallest: float) -> tuple[list[_Film], list[Laid]]:
    """One stretch of a film's way: until a hold is caught or freed, the mould is touched, or the film is too tight."""
    if film.right == film.left or film.b - film.a <= 1e-12 * edges.at[-1]:
        return [], [_rest(film)]
    film = _freed(edges, film)
    if film.slides_left and film.slides_right and film.right == film.left + 1:
        return [], _corner(edges, film, smallest)
    at, last = _driven(edges, film)
    steps = _steps(edges, film, at(0.0), at(1.0))
    shares = np.linspace(0.0, 1.0, steps + 1)
    thick, moments, thicknesses = film.thick, [at(0.0)], [film.thick]
    touched = _touched(edges, film, moments[0])
    if touched is not None:
        return _split(edges, film, moments[0], touched), []
    ended = "end"
    for share in shares[1:]:
        then, before = at(float(share)), moments[-1]
        what = _what_ends(edges, film, then, smallest, thick)
        if what:
            low, high = float(share) - 1.0 / steps, float(share)
            for _ in range(HALVINGS):
                mid = 0.5 * (low + high)
                if _what_ends(edges, film, at(mid), smallest, thick):
                    high = mid
                else:
                    low = mid
            then = at(high)
            ended = _what_ends(edges, film, then, smallest, thick) or what
        thick *= _thinner(edges, film, before, then)
        moments.append(then)
        thicknesses.append(thick)
        if what:
            break
    stretches = _laid(film, moments, thicknesses)
    now = moments[-1]
    film = replace(film, a=now.a, b=now.b, half=now.half, thick=thick)
    if ended == "tight":
        return [], [*stretches, _rest(film)]
    if ended == "touch":
        return _split(edges, film, now, _touched(edges, film, now) or _nearest(edges, film, now)), stretches
    if ended == "left":
        return [replace(film, slides_left=True)], stretches
    if ended == "right":
        return [replace(film, slides_right=True)], stretches
    return [last(film)], stretches


def _steps(edges: _Edges, film: _Film, first: _Moment, last: _Moment) -> int:
    """How many samples a stretch needs: few where the film goes only a little way, as over the edges of a curve."""
    moved = (last.a - first.a + first.b - last.b) / max(_length(edges, film, first), 1e-300)
    turned = abs(last.half - first.half) / math.pi
    return FEWEST + math.ceil((STEPS - FEWEST) * min(1.0, 2 * max(moved, turned)))


def _freed(edges: _Edges, film: _Film) -> _Film:
    """A pinned hold whose edge the film already lies along slides."""
    if film.slides_left and film.slides_right:
        return film
    chord, half = _chord_angle(edges, film, film.a, film.b), film.half
    if film.slides_left:
        half = chord - edges.angle[film.left]
    elif film.slides_right:
        half = edges.angle[film.right] - chord
    left = film.slides_left or chord - half <= edges.angle[film.left] + ANGLE
    right = film.slides_right or chord + half >= edges.angle[film.right] - ANGLE
    return replace(film, slides_left=left, slides_right=right, half=half)


def _chord_angle(edges: _Edges, film: _Film, a: float, b: float) -> float:
    across = edges.point(film.right, b) - edges.point(film.left, a)
    return math.atan2(across.imag, across.real)


def _driven(edges: _Edges, film: _Film) -> tuple[Callable[[float], _Moment], Callable[[_Film], _Film]]:
    """The film as a function of a share from 0 to 1 of its longest way, and what it becomes at the end of that."""
    a_end, b_end = float(edges.at[film.left + 1]), float(edges.at[film.right])
    turn_l, turn_r = float(edges.angle[film.left]), float(edges.angle[film.right])

    def next_left(now: _Film) -> _Film:
        return replace(now, left=now.left + 1, a=a_end, slides_left=False)

    def next_right(now: _Film) -> _Film:
        return replace(now, right=now.right - 1, b=b_end, slides_right=False)

    if film.slides_left and film.slides_right:
        half = 0.5 * (turn_r - turn_l)
        # A circle that touches two lines touches them equally far from where they meet: both holds go equally far.
        far = min(a_end - film.a, film.b - b_end)
        left_first = a_end - film.a <= film.b - b_end

        def both(share: float) -> _Moment:
            return _Moment(film.a + share * far, film.b - share * far, half)

        return both, next_left if left_first else next_right
    if film.slides_left:

        def one(share: float) -> _Moment:
            a = film.a + share * (a_end - film.a)
            return _Moment(a, film.b, _chord_angle(edges, film, a, film.b) - turn_l)

        return one, next_left
    if film.slides_right:

        def other(share: float) -> _Moment:
            b = film.b - share * (film.b - b_end)
            return _Moment(film.a, b, turn_r - _chord_angle(edges, film, film.a, b))

        return other, next_right
    chord = _chord_angle(edges, film, film.a, film.b)
    widest = min(chord - turn_l, turn_r - chord)

    def swells(share: float) -> _Moment:
        return _Moment(film.a, film.b, film.half + share * (widest - film.half))

    return swells, lambda now: _freed(edges, now)


def _arc(edges: _Edges, film: _Film, now: _Moment) -> tuple[complex, float, float]:
    """Centre, radius and chord angle of the film; the radius is infinite while it is flat."""
    a, b = edges.point(film.left, now.a), edges.point(film.right, now.b)
    chord = math.atan2((b - a).imag, (b - a).real)
    if now.half <= ANGLE:
        return complex(0.0, math.inf), math.inf, chord
    radius = abs(b - a) / (2 * math.sin(now.half))
    up = complex(-math.sin(chord), math.cos(chord))
    return 0.5 * (a + b) + radius * math.cos(now.half) * up, radius, chord


def _length(edges: _Edges, film: _Film, now: _Moment) -> float:
    chord = abs(edges.point(film.right, now.b) - edges.point(film.left, now.a))
    return chord if now.half <= ANGLE else chord * now.half / math.sin(now.half)


def _thinner(edges: _Edges, film: _Film, before: _Moment, now: _Moment) -> float:
    """What the thickness is multiplied by between two moments; exact where length and what is laid go in step."""
    old, new = _length(edges, film, before), _length(edges, film, now)
    if min(old, new) <= 0:
        return 1.0
    laid = (now.a - before.a) + (before.b - now.b)
    change = new - old
    even = 1 / old if abs(change) <= 1e-12 * old else math.log(new / old) / change
    return math.exp(-(change + laid) * even)


def _what_ends(edges: _Edges, film: _Film, now: _Moment, smallest: float, thick: float) -> str:
    """What has happened by now: "touch", "tight", "left" or "right" tangent to its next edge; empty: nothing."""
    _, radius, chord = _arc(edges, film, now)
    if radius <= max(smallest, thick):
        return "tight"
    if film.slides_left and not film.slides_right and chord + now.half >= edges.angle[film.right]:
        return "right"
    if film.slides_right and not film.slides_left and chord - now.half <= edges.angle[film.left]:
        return "left"
    return "touch" if _touched(edges, film, now) is not None else ""


def _nearest(edges: _Edges, film: _Film, now: _Moment) -> tuple[int, float, float]:
    """The place between the holds that is nearest to the film: its edge, where along the section, how far off."""
    between = np.arange(film.left + 1, film.right)
    if not len(between):
        return -1, 0.0, math.inf
    p, q = edges.points[between], edges.points[between + 1]
    centre, radius, _ = _arc(edges, film, now)
    step = q - p
    size = np.hypot(step[:, 0], step[:, 1])
    if math.isinf(radius):
        a, b = edges.point(film.left, now.a), edges.point(film.right, now.b)
        up = np.array([-(b - a).imag, (b - a).real]) / abs(b - a)
        off = -((p - [a.real, a.imag]) @ up)
        far = -((q - [a.real, a.imag]) @ up)
        foot = np.where(far < off, size, 0.0)
        gap = np.minimum(off, far)
    else:
        away = np.array([centre.real, centre.imag]) - p
        foot = np.clip(np.einsum("ij,ij->i", away, step) / size, 0.0, size)
        gap = np.hypot(*(away - step * (foot / size)[:, None]).T) - radius
    k = int(np.argmin(gap))
    return int(between[k]), float(edges.at[between[k]] + foot[k]), float(gap[k])


def _touched(edges: _Edges, film: _Film, now: _Moment) -> tuple[int, float, float] | None:
    found = _nearest(edges, film, now)
    return found if found[2] <= 0 else None


def _split(edges: _Edges, film: _Film, now: _Moment, at: tuple[int, float, float]) -> list[_Film]:
    """The two films that a film becomes where it touches the mould between its holds."""
    edge, s, _ = at
    centre, radius, chord = _arc(edges, film, now)
    begin, end = float(edges.at[edge]), float(edges.at[edge + 1])
    close = 1e-9 * float(edges.at[-1])
    corner = begin if s - begin <= close else end if end - s <= close else None
    if corner == end:
        edge += 1
    left_edge, right_edge = (edge - 1, edge) if corner is not None else (edge, edge)
    s = corner if corner is not None else s
    away = edges.point(edge, s) - centre
    tangent = chord if math.isinf(radius) else math.atan2(away.imag, away.real) + math.pi / 2
    first, last = chord - now.half, chord + now.half
    tangent = min(max(_turned_near(tangent, chord), first), last)
    free = corner is None
    one = replace(film, a=now.a, right=left_edge, b=s, slides_right=free, half=0.5 * (tangent - first))
    other = replace(film, b=now.b, left=right_edge, a=s, slides_left=free, half=0.5 * (last - tangent))
    return [one, other]


def _turned_near(angle: float, wanted: float) -> float:
    return angle + 2 * math.pi * round((wanted - angle) / (2 * math.pi))


def _laid(film: _Film, moments: list[_Moment], thick: list[float]) -> list[Laid]:
    """What the sliding holds have laid on the mould, each in the order of the section."""
    thickness = np.array(thick)
    found: list[Laid] = []
    if film.slides_left:
        found.append(Laid(np.array([one.a for one in moments]), thickness))
    if film.slides_right:
        found.append(Laid(np.array([one.b for one in reversed(moments)]), thickness[::-1]))
    return found


def _rest(film: _Film) -> Laid:
    return Laid(np.array([film.a, film.b]), np.array([film.thick, film.thick]))


def _corner(edges: _Edges, film: _Film, smallest: float) -> list[Laid]:
    """A film that slides down both sides of a corner: its thickness is a power of its radius.

    Turning by w in the corner, a film of radius r has length r w and has still r tan(w/2) to go on each side, so its
    thickness goes with r to the power 2 tan(w/2) / w - 1.
    """
    corner = float(edges.at[film.right])
    turn = float(edges.angle[film.right] - edges.angle[film.left])
    reach = math.tan(turn / 2)
    power = 2 * reach / turn - 1
    first = 0.5 * (film.b - film.a)
    radius = first / reach
    last = smallest
    if power < 1:  # thickness meets radius somewhere; a steeper corner thins faster than it closes
        last = max(last, (film.thick / radius**power) ** (1 / (1 - power)))
    if radius <= max(last, film.thick):
        return [_rest(film)]
    share = np.geomspace(1.0, last / radius, CORNER_STEPS)
    thick = film.thick * share**power
    off = first * share
    ends = replace(film, a=corner - float(off[-1]), b=corner + float(off[-1]), thick=float(thick[-1]))
    rest = replace(_rest(ends), bridges=power > SOFT)
    return [Laid(corner - off, thick), rest, Laid((corner + off)[::-1], thick[::-1])]
