"""What a plan of several parts says besides the six answers of the whole: each part by itself, and what they share."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.measure.plan import Measure
from steadyrest.route.joined import SharedSetUp
from steadyrest.shop.figure import Figure, Reason
from steadyrest.shop.floor import Material
from steadyrest.shop.part import Part
from steadyrest.shop.parts_list import BoughtPart, Fitting, Site
from steadyrest.shop.work import Route


@dataclass(frozen=True, slots=True)
class PlannedPart:
    """A part made here. quantity: of the whole lot. route: without steps where this floor cannot make it."""

    id: str
    file: str
    part: Part
    material: Material
    quantity: int
    route: Route
    measures: tuple[Measure, ...]


@dataclass(frozen=True, slots=True)
class JoinedAnswer:
    """parts, bought, fittings: as in the list. sets: how many of the job.

    shared: set-ups paid once; saved: the hands that spares. notes: what else the parts share.
    """

    sets: int
    parts: tuple[PlannedPart, ...]
    bought: tuple[BoughtPart, ...]
    fittings: tuple[Fitting, ...]
    site: Site | None
    shared: tuple[SharedSetUp, ...]
    notes: tuple[Reason, ...]
    saved: Figure
