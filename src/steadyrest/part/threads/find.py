"""Threads of a part: stretches where one helix explains the surface, with pitch, hand, starts, depth and name."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot, pi, sqrt

import numpy as np
import numpy.typing as npt

from steadyrest.part.patch import PatchGraph
from steadyrest.part.threads.found import CRESTS_ONLY, ThreadFound
from steadyrest.part.threads.name import names_told, thread_names
from steadyrest.part.threads.shells import BAND, SECTORS, Round, Shell, point_at, seen_from, shells, smooth_course
from steadyrest.part.threads.spectrum import (
    LEAST_POINTS,
    LEAST_SHOWN,
    LEAST_TURNS,
    Helix,
    refined,
    strongest_helix,
    wave_phase,
)
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Doubt, trust

FloatArray = npt.NDArray[np.float64]

BASIC_DEPTH = 5 * sqrt(3) / 16  # of the pitch: 5/8 of the height of a 60 degree triangle (ISO 68-1)
LEAST_DEPTH_SHARE, MOST_DEPTH_SHARE = 0.12, 1.4  # a sharp thread of 60 degrees has 1.6, none is cut so
LEAST_DEPTH_MM = 0.03
HALF_KEPT = 0.5
HALF_SHOWN = 0.5  # of what a window must show, the whole stretch must: a worn bore ripples somewhere, a thread winds on
KEPT_OFF = 2.0  # over the 90th percentile: what is farther off is a keyway or an edge
CREST, ROOT, ROOT_EDGES = 0.08, 0.1, 0.16  # half widths in the wave where crest and valley are read
SCAN_SCALE = 2e-4  # one sigma of a scan's length, common practice, no source
LEAST_ON_IT = 0.5
MOST_POINTS = 120_000
MODEL_MM = 0.005
MODEL_PITCH = 2e-3  # of the pitch: the ends of a short thread pull at it


@dataclass(frozen=True, slots=True)
class Pool:
    """Points of a body. points: (n, 3) to look at. of_patches: (m, 3) those of patches; patch: (m,) whose each is.

    way: the direction, 0 to 2, in which the points spread most; order: (n,) the points along it; at_mm: (n,) how far.
    """

    points: FloatArray
    of_patches: FloatArray
    patch: npt.NDArray[np.int64]
    way: int
    order: npt.NDArray[np.int64]
    at_mm: FloatArray

    def near(self, point: FloatArray, reach_mm: float) -> npt.NDArray[np.int64]:
        """The points within reach of a place, in their own order. A tree would take longer to load than this to run."""
        at_mm = float(point[self.way])
        first, last = np.searchsorted(self.at_mm, (at_mm - reach_mm, at_mm + reach_mm))
        some = self.order[max(0, first - 1) : last + 1]
        off = self.points[some] - point
        return np.sort(some[(off * off).sum(axis=1) <= reach_mm * reach_mm])


def threads_of(graph: PatchGraph, points: FloatArray | None = None) -> tuple[ThreadFound, ...]:
    """The threads of a part, longest first.

    Args:
        graph: patches with their points (a scan's from its facets, a solid's from its rims).
        points: (n, 3) corners of the whole mesh, if there is one: valleys are often in no patch. None: the patches'.
    Returns: threads; a plain, grooved, knurled or chattered stretch is none.
    """
    pool = pool_of(graph, points)
    if pool is None:
        return ()
    found: list[ThreadFound] = []
    for shell in shells(graph):
        if any(covers(thread, shell) for thread in found):
            continue
        thread = thread_on(shell, pool, graph)
        if thread is not None and not any(same(thread, other) for other in found):
            found.append(thread)
    return tuple(sorted(found, key=lambda thread: thread.along_mm[0] - thread.along_mm[1]))


def pool_of(graph: PatchGraph, points: FloatArray | None) -> Pool | None:
    """All points of all patches but planes (an end face's rim lies on no thread), or the mesh's own, thinned."""
    round_ones = [patch for patch in graph.patches if patch.kind != "plane"]
    held = [(patch.id, patch.points) for patch in round_ones if patch.points is not None and len(patch.points)]
    if not held:
        return None
    ids = np.concatenate([np.full(len(own), k, dtype=np.int64) for k, own in held])
    of_patches = np.concatenate([own for _, own in held])
    all_of_it = of_patches if points is None else points[:: max(1, len(points) // MOST_POINTS)]
    way = int(np.argmax(np.ptp(all_of_it, axis=0)))
    order = np.argsort(all_of_it[:, way], kind="stable")
    return Pool(all_of_it, of_patches, ids, way, order, all_of_it[order, way])


def thread_on(shell: Shell, pool: Pool, graph: PatchGraph) -> ThreadFound | None:
    """The thread on one stretch, or None."""
    # Only what may lie on it, first: a plate has hundreds of holes, and no point of one is near another.
    reach_mm = hypot(shell.half_mm, (1 + BAND) * shell.radius_mm)
    near = pool.near(shell.point, reach_mm)
    seen = seen_from(pool.points[near], shell.point, shell.axis)
    seen = taken(
        seen, (np.abs(seen.rho_mm - shell.radius_mm) <= BAND * shell.radius_mm) & (np.abs(seen.z_mm) <= shell.half_mm)
    )
    if len(seen.z_mm) < LEAST_POINTS or float(np.ptp(seen.rho_mm)) < LEAST_DEPTH_MM:
        return None
    off = seen.rho_mm - smooth_course(seen, shell.half_mm)
    limit = KEPT_OFF * float(np.percentile(np.abs(off), 90))
    helix = strongest_helix(seen.z_mm, seen.angle_rad, np.clip(off, -limit, limit), edges=not graph.scan)
    if helix is None:
        return None
    everywhere = seen_from(pool.points, shell.point, shell.axis)
    in_band = np.abs(everywhere.rho_mm - shell.radius_mm) <= BAND * shell.radius_mm
    low, high = reach(helix, taken(everywhere, in_band))
    if high - low < LEAST_TURNS * helix.pitch_mm:
        return None
    rows = in_band & (everywhere.z_mm >= low) & (everywhere.z_mm <= high)
    inside = shell.inside if shell.inside is not None else metal_beyond(everywhere, low, high, shell.radius_mm)
    return measured(helix, taken(everywhere, rows), replace(shell, inside=inside), graph, on_it(pool, shell, low, high))


def taken(seen: Round, rows: npt.NDArray[np.bool_]) -> Round:
    return Round(seen.z_mm[rows], seen.angle_rad[rows], seen.rho_mm[rows])


def reach(helix: Helix, seen: Round) -> tuple[float, float]:
    """From where to where the wave goes on about the window where it was found."""
    pitch = helix.pitch_mm
    start, end = helix.along_mm
    middle = (start + end) / 2
    bins = np.floor((seen.z_mm - middle) / pitch).astype(np.int64)
    first, last = int(bins.min()), int(bins.max())
    turned = np.exp(-1j * (2 * pi * (seen.z_mm - middle) / pitch - helix.winding * seen.angle_rad))
    places = bins - first
    size = last - first + 1
    count = np.maximum(np.bincount(places, minlength=size), 1)
    level = np.bincount(places, seen.rho_mm, size) / count
    off = seen.rho_mm - level[places]
    off = np.clip(off, -2.5 * helix.amplitude_mm, 2.5 * helix.amplitude_mm)
    re, im = np.bincount(places, (off * turned).real, size), np.bincount(places, (off * turned).imag, size)
    wave = (re + 1j * im) / count
    strong = 2 * np.abs(wave) >= HALF_KEPT * helix.amplitude_mm
    strong &= np.bincount(places, minlength=size) >= 12
    at = int(np.argmax(np.where(strong, np.abs(wave), 0.0))) if strong.any() else -first
    lower = upper = at
    while lower > 0 and (strong[lower - 1] or (lower > 1 and strong[lower - 2])):
        lower -= 1
    while upper < size - 1 and (strong[upper + 1] or (upper < size - 2 and strong[upper + 2])):
        upper += 1
    low, high = middle + (first + lower) * pitch, middle + (first + upper + 1) * pitch
    return max(low, float(seen.z_mm.min())), min(high, float(seen.z_mm.max()))


def metal_beyond(seen: Round, low: float, high: float, radius_mm: float) -> bool:
    """Whether other surface lies all round farther out: then the thread is in a bore."""
    outer = (seen.z_mm >= low) & (seen.z_mm <= high) & (seen.rho_mm > (1 + BAND) * radius_mm)
    sectors = np.unique((seen.angle_rad[outer] / (2 * pi) * SECTORS).astype(np.int64))
    return len(sectors) >= SECTORS - 3


def on_it(pool: Pool, shell: Shell, low: float, high: float) -> tuple[int, ...]:
    """Patches most of whose points lie on the thread."""
    seen = seen_from(pool.of_patches, shell.point, shell.axis)
    rows = np.abs(seen.rho_mm - shell.radius_mm) <= BAND * shell.radius_mm
    rows &= (seen.z_mm >= low) & (seen.z_mm <= high)
    return tuple(int(k) for k in np.unique(pool.patch[rows]) if float(rows[pool.patch == k].mean()) >= LEAST_ON_IT)


def measured(
    helix: Helix, seen: Round, shell: Shell, graph: PatchGraph, patches: tuple[int, ...]
) -> ThreadFound | None:
    """Pitch, diameters and depth of a wave on its own stretch; None if it is too shallow or explains too little."""
    length = float(np.ptp(seen.z_mm))
    course = smooth_course(seen, max(length / 2, 1.0))
    off = seen.rho_mm - course
    off = off - off.mean()
    wave = refined(helix, seen.z_mm, seen.angle_rad, off)
    if wave.shown < HALF_SHOWN * LEAST_SHOWN:
        return None
    phase = wave_phase(wave, seen.z_mm, seen.angle_rad)
    # A solid's points lie on the edges exactly; a scan's are read beside the smooth course, an axis off to the side.
    height = off + float(np.median(course)) if graph.scan else seen.rho_mm
    top = level_at(height, phase, 0.0, CREST)
    bottom = level_at(height, phase, 0.5, ROOT if graph.scan else ROOT_EDGES)
    depth = top - bottom
    share = depth / (BASIC_DEPTH * wave.pitch_mm)
    if (
        not LEAST_DEPTH_SHARE <= share <= MOST_DEPTH_SHARE
        or depth < LEAST_DEPTH_MM
        or wave.pitch_mm * LEAST_TURNS > length
    ):
        return None
    left = off - wave.amplitude_mm * np.cos(2 * pi * phase)
    u_pitch = pitch_sigma(wave, float(left.std()), len(off), length, scan=graph.scan)
    u_radius = hypot(float(left.std()) / 4, SCAN_SCALE * top) if graph.scan else MODEL_MM
    middle = float(seen.z_mm.min()) + length / 2
    x, y, z = (float(v) for v in shell.axis)
    found = ThreadFound(
        patches=patches,
        point=point_at(shell.point, shell.axis, middle),
        axis=(x, y, z),
        along_mm=(-length / 2, length / 2),
        inside=bool(shell.inside),
        hand="right" if wave.winding > 0 else "left",
        starts=abs(wave.winding),
        pitch_mm=wave.pitch_mm,
        u_pitch_mm=u_pitch,
        major_mm=2 * top,
        minor_mm=2 * bottom,
        u_major_mm=2 * u_radius,
        depth_share=share,
        shows=wave.shown,
    )
    found = replace(found, names=thread_names(found))
    return replace(found, why=reasons(found), doubts=doubts(found))


def level_at(height_mm: FloatArray, phase: FloatArray, at: float, half: float) -> float:
    """The middle height of the points about one place of the wave."""
    near = np.abs((phase - at + 0.5) % 1.0 - 0.5) <= half
    return float(np.median(height_mm[near])) if near.any() else float(np.median(height_mm))


def pitch_sigma(wave: Helix, left_mm: float, count: int, length_mm: float, *, scan: bool) -> float:
    """One sigma of the pitch: of a sine in noise (Cramer-Rao bound), points hanging together by nines, and scale."""
    if not scan:
        return MODEL_PITCH * wave.pitch_mm
    per_mm = sqrt(6.0) / pi * left_mm / (wave.amplitude_mm * sqrt(count / 9)) / length_mm
    return hypot(wave.pitch_mm**2 * per_mm, SCAN_SCALE * wave.pitch_mm)


def reasons(found: ThreadFound) -> tuple[Reason, ...]:
    """What the thread was seen by."""
    length = found.along_mm[1] - found.along_mm[0]
    wave = because(
        "threads.wave",
        pitch_mm=found.pitch_mm,
        u_um=1000 * found.u_pitch_mm,
        turns=float(round(length / found.pitch_mm / found.starts)),
        hand=found.hand,
    )
    return (wave, *names_told(found.names, found.major_mm))


def doubts(found: ThreadFound) -> tuple[Doubt, ...]:
    """What the surface cannot settle, and which gauge would."""
    out: list[Doubt] = []
    gauge = because("threads.ask_pitch_gauge")
    if found.depth_share <= CRESTS_ONLY:
        what = because("threads.crests_only", pitch_mm=found.pitch_mm)
        out.append(Doubt(what, gauge))
    if not found.names:
        what = because("threads.no_name", pitch_mm=found.pitch_mm, major_mm=found.major_mm)
        out.append(Doubt(what, gauge))
    elif found.depth_share > CRESTS_ONLY and trust(found.names[0].odds) != "sure":
        first, *rest = found.names
        second = rest[0].name if rest else "-"
        out.append(Doubt(because("threads.rivals", first=first.name, second=second), gauge))
    return tuple(out)


def covers(thread: ThreadFound, shell: Shell) -> bool:
    """Whether a stretch lies wholly on a thread already found."""
    shared = _overlap(thread, shell.point, shell.half_mm, shell.radius_mm)
    return shared >= 1.8 * shell.half_mm


def same(thread: ThreadFound, other: ThreadFound) -> bool:
    """Whether two finds are one thread."""
    half = (thread.along_mm[1] - thread.along_mm[0]) / 2
    shared = _overlap(other, np.array(thread.point), half, thread.major_mm / 2)
    return shared > 0.3 * min(2 * half, other.along_mm[1] - other.along_mm[0])


def _overlap(thread: ThreadFound, point: FloatArray, half_mm: float, radius_mm: float) -> float:
    """Length shared along the axis by a thread and a stretch of about its radius; 0 where they are apart."""
    axis = np.array(thread.axis)
    between = point - np.array(thread.point)
    at = float(between @ axis)
    apart = float(np.linalg.norm(between - at * axis))
    if apart > 0.2 * radius_mm or abs(radius_mm - thread.major_mm / 2) > 2 * BAND * radius_mm:
        return 0.0
    return min(at + half_mm, thread.along_mm[1]) - max(at - half_mm, thread.along_mm[0])
