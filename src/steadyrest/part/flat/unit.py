"""Which unit a drawing is in: what its header says, if the size does not contradict it; and how near is near then."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from steadyrest.part.files.dxf import Drawing
from steadyrest.part.flat.curve import box_of
from steadyrest.part.flat.drawn import Drawn, drawn
from steadyrest.shop.figure import because
from steadyrest.shop.part import Doubt, UnitSaid
from steadyrest.trouble import BadInput

Stop = Callable[[], bool]
GIVEN_MM = {"mm": 1.0, "in": 25.4, "m": 1000.0}
GAP_MM = 0.02
SNAP_MM = 0.0005
FREE_MM = 0.005
SMALLEST_MM, LARGEST_MM = 1.0, 15_000.0  # a cut part's longest side; beyond, the unit in the file is in doubt


@dataclass(frozen=True, slots=True)
class Close:
    """How near is near, in the part's unit (where that is unknown: as if it were inches, the careful way)."""

    gap: float
    snap: float
    free: float


def unit_of(drawing: Drawing, name: str, given: str | None, stop: Stop) -> tuple[UnitSaid, float, tuple[Doubt, ...]]:
    """The unit, how many mm it is, and doubts: the header's where the size agrees, else the one given, else asked.

    Raises: BadInput: as for the drawing itself.
    """
    asked = UnitSaid("", "ask", because("read.unit_missing"))
    told = UnitSaid(given, "sure", because("read.unit_given", unit=given)) if given is not None else asked
    if drawing.unit is None:
        return told, GIVEN_MM[given] if given else 1.0, ()
    header, mm = drawing.unit
    lines = as_drawn(drawing, name, mm=mm, free=FREE_MM * max(1.0, mm), stop=stop)
    seen = [c for some in lines.curves.values() for c in some]
    low_x, low_y, high_x, high_y = box_of(seen) if seen else (0.0, 0.0, SMALLEST_MM, SMALLEST_MM)
    longest = max(high_x - low_x, high_y - low_y)
    if not SMALLEST_MM <= longest <= LARGEST_MM:
        doubt = Doubt(because("read.odd_size", size_mm=longest), because("read.ask_one_size"))
        if given is not None:
            return told, GIVEN_MM[given], (Doubt(because("flat.unit_odd", given=given, unit=header), doubt.ask),)
        return UnitSaid("", "ask", because("flat.unit_contradicted", unit=header, size_mm=longest)), 1.0, (doubt,)
    doubts: tuple[Doubt, ...] = ()
    if given is not None and given != header:
        doubts = (Doubt(because("read.unit_both", given=given, unit=header), because("read.ask_one_size")),)
    return UnitSaid(header, "sure", because("read.unit_in_file", unit=header)), mm, doubts


def closeness(unit: UnitSaid) -> Close:
    """Distances that count as none; a file without a unit may be in inches, where 0.02 would be half a millimetre."""
    share = 1.0 if unit.state != "ask" else 1 / 25.4
    return Close(GAP_MM * share, SNAP_MM * share, FREE_MM * share)


def as_drawn(drawing: Drawing, name: str, *, mm: float, free: float, stop: Stop) -> Drawn:
    """The drawing's curves. Raises: BadInput: a number in it is none, or blocks contain themselves."""
    try:
        return drawn(drawing, mm=mm, tolerance=free, stop=stop)
    except ValueError as fault:
        line, _, what = str(fault).partition(": ")
        raise BadInput(where=f"{name}, {line}", what=f"{what}.", do="Export it again.") from None
