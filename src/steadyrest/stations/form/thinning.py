"""How thin a hot sheet gets where, drawn into a female mould."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.stations.form import sheet
from steadyrest.stations.form.bubble import drawn_into
from steadyrest.stations.form.cavity import cavity
from steadyrest.stations.form.trough import drawn_trough

FloatArray = npt.NDArray[np.float64]
IndexArray = npt.NDArray[np.int64]

OFF = 0.01  # of the mould's size: a point further off it than this is doubted


@dataclass(frozen=True, slots=True)
class AskedPoint:
    """A place on the mould where the thickness is asked for: x, z of a section, or x, y, z."""

    id: str
    at_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class ThinningWanted:
    """A sheet over a mould. start_mm: of the sheet. section_mm: corners x, z of a trough without ends, from rim to rim;
    empty: the mould is a file. mould, mould_unit: that file as the request names it; empty: none. least_mm: how thin it
    may get at most; None: nobody said. points: asked for."""

    start_mm: float
    section_mm: tuple[tuple[float, float], ...]
    mould: str
    mould_unit: str
    least_mm: float | None
    points: tuple[AskedPoint, ...]


@dataclass(frozen=True, slots=True)
class Thinned:
    """The sheet on the mould. points: thickness at each. mean, least: over the sheet. least_at_mm: where it is
    thinnest. cannot: why least_mm is not kept; none: yes."""

    points: tuple[tuple[str, Figure], ...]
    mean: Figure
    least: Figure
    least_at_mm: tuple[float, ...]
    cannot: tuple[Reason, ...]
    doubts: tuple[Reason, ...]

    @property
    def answer(self) -> str:
        """yes or no."""
        return "no" if self.cannot else "yes"


@dataclass(frozen=True, slots=True)
class _Sheet:
    """What both ways of reckoning give. thick, off: at each point."""

    thick: list[float]
    off: list[float]
    rim: float
    surface: float
    least: float
    least_at: tuple[float, ...]
    bridges: bool
    size: float


def thinned_in_trough(wanted: ThinningWanted) -> Thinned:
    """How thin a sheet gets in a long trough.

    Args:
        wanted: with a section.
    Returns: thickness at the points, mean and least, with their reasons.
    """
    section = np.array(wanted.section_mm)
    if section[0, 0] > section[-1, 0]:
        section = section[::-1].copy()
    laid = drawn_trough(section, wanted.start_mm)
    found = [sheet.on_section(laid, section, np.array(point.at_mm)) for point in wanted.points]
    length = np.hypot(*np.diff(section, axis=0).T)
    along = np.concatenate(([0.0], np.cumsum(length)))
    thinnest = min(laid, key=lambda one: (float(one.thick_mm.min()), not one.bridges))
    s = float(thinnest.along_mm[thinnest.thick_mm == thinnest.thick_mm.min()].mean())
    where = tuple(float(np.interp(s, along, section[:, d])) for d in (0, 1))
    back = [one for one in np.diff(section[:, 0]) if one < -1e-9 * np.ptp(section[:, 0])]
    whole = _Sheet(
        [one[0] for one in found], [one[1] for one in found],
        float(section[-1, 0] - section[0, 0]), float(length.sum()),
        float(thinnest.thick_mm.min()), where, thinnest.bridges, float(np.ptp(section, axis=0).max()),
    )  # fmt: skip
    return _judged(wanted, whole, (because("thinning.undercut"),) if back else ())


def thinned_in_mould(
    wanted: ThinningWanted,
    corners_mm: FloatArray,
    faces: IndexArray,
    *,
    progress: Callable[[str, float], None],
    stop: Callable[[], bool],
) -> Thinned:
    """How thin a sheet gets in a cavity.

    Args:
        wanted: with the name of a mould.
        corners_mm: (n, 3) of the mould, rim in z = 0, cavity below.
        faces: (m, 3).
        progress: told how far it is. stop: asked now and then.
    Returns: thickness at the points, mean and least, with their reasons.
    Raises: BadInput: there is no cavity, or it has a hole. InterruptedError: stop said so.
    """
    hollow = cavity(corners_mm, faces, wanted.mould)
    drawn = drawn_into(hollow, wanted.start_mm, where=wanted.mould, progress=progress, stop=stop)
    points = np.array([point.at_mm for point in wanted.points]).reshape(-1, 3)
    thick, off = sheet.on_mould(drawn, points) if len(points) else (np.empty(0), np.empty(0))
    size = float(np.ptp(hollow.surface.reshape(-1, 3), axis=0).max())
    at = tuple(float(one) for one in drawn.least_at_mm)
    whole = _Sheet(
        [float(one) for one in thick], [float(one) for one in off],
        hollow.rim_mm2, hollow.area_mm2, drawn.least_mm, at, drawn.bridges, size,
    )  # fmt: skip
    apart = abs(float(drawn.area_mm2().sum()) / hollow.area_mm2 - 1)
    return _judged(wanted, whole, (because("thinning.area_apart", share=100 * apart),) if apart > APART else ())


APART = 0.05  # of the mould's area: what the sheet may lack of it in corners before somebody is told


def _judged(wanted: ThinningWanted, found: _Sheet, doubts: tuple[Reason, ...]) -> Thinned:
    model = because("thinning.model")
    points = tuple(
        (point.id, Figure(thick, "mm", (because("thinning.touched", share=100 * thick / wanted.start_mm), model)))
        for point, thick in zip(wanted.points, found.thick, strict=True)
    )
    ratio = found.surface / found.rim
    mean = Figure(wanted.start_mm / ratio, "mm", (because("thinning.mean", ratio=ratio, start_mm=wanted.start_mm),))
    key = "thinning.least_corner" if found.bridges else "thinning.least"
    least = Figure(found.least, "mm", (because(key, at=", ".join(f"{one:.1f}" for one in found.least_at)), model))
    far = tuple(
        because("thinning.off_mould", point=point.id, off_mm=off)
        for point, off in zip(wanted.points, found.off, strict=True)
        if off > OFF * found.size
    )
    return Thinned(points, mean, least, found.least_at, _too_thin(wanted, least, found.bridges), (*doubts, *far))


def _too_thin(wanted: ThinningWanted, least: Figure, bridges: bool) -> tuple[Reason, ...]:
    """Why the least allowed is not kept, and the nearest sheet that would keep it."""
    if wanted.least_mm is None or least.value >= wanted.least_mm:
        return ()
    short = because("thinning.too_thin", least_mm=least.value, allowed_mm=wanted.least_mm)
    if bridges:
        return short, because("thinning.nearest_radius")
    thicker = wanted.start_mm * wanted.least_mm / max(least.value, 1e-9)
    return short, because("thinning.nearest_sheet", start_mm=thicker)


def cautions() -> tuple[Reason, ...]:
    """What to mind at the forming machine.

    Returns: the cautions.
    """
    return (
        because("heating.caution_alone"), because("heating.caution_burns"),
        because("thinning.caution_vacuum"), because("heating.caution_manual"),
    )  # fmt: skip
