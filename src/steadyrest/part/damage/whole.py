"""Damage on one scanned part: its ends, its bend, its openings, and what to ask. Start here for a part in one piece."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.part.damage.bend import Bend, bend_of
from steadyrest.part.damage.ends import End, ends_of
from steadyrest.part.damage.openings import Opening, openings_of
from steadyrest.part.damage.turned_scan import turned_scan
from steadyrest.part.patch import PatchGraph
from steadyrest.part.triangles.mesh import Mesh
from steadyrest.shop.figure import because
from steadyrest.shop.part import Doubt

OPENINGS_SAID = 4
SLITS_SAID = 2


@dataclass(frozen=True, slots=True)
class Damage:
    """What is wrong with a part besides wear.

    ends: None unless it is a scan of a turned part. bend: None where too few rings were seen whole.
    openings: longest first.
    """

    ends: tuple[End, End] | None
    bend: Bend | None
    openings: tuple[Opening, ...]

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """What a person should look at, the gravest first: broken ends, bend, slits, then the longest openings."""
        openings = [Doubt(opening.why, opening.ask) for opening in self.openings[:OPENINGS_SAID]]
        grave = self.grave
        return (*grave, *(doubt for doubt in openings if doubt not in grave))

    @property
    def grave(self) -> tuple[Doubt, ...]:
        """What changes the answer to "what is it": broken ends, a bend, and openings that look like cracks."""
        out = [Doubt(end.why[0], because("damage.ask_break")) for end in self.ends or () if end.state == "broken"]
        if self.bend is not None and self.bend.verdict != "straight":
            out.append(Doubt(self.bend.runout.why[0], self.bend.ask))
        slits = [opening for opening in self.openings if opening.shape == "slit"]
        return (*out, *(Doubt(slit.why, slit.ask) for slit in slits[:SLITS_SAID]))


def damage_of(mesh: Mesh, graph: PatchGraph) -> Damage:
    """Damage on one part.

    Args:
        mesh: cleaned, in mm. graph: of this mesh.
    Returns: ends, bend, openings. A solid model has none.
    """
    if not graph.scan:
        return Damage(None, None, ())
    scan = turned_scan(mesh, graph)
    return Damage(
        ends=ends_of(scan) if scan else None,
        bend=bend_of(scan) if scan else None,
        openings=openings_of(mesh, graph.axis),
    )
