"""The way from piece to delivered part: phases, steps, blanks, routes, and what was refused. Nothing here computes."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from steadyrest.shop.chart import Charted
from steadyrest.shop.figure import Figure, Reason


@dataclass(frozen=True, slots=True)
class Phase:
    """A stretch of a step.

    duration_s: median, with its reasons. spread: sd of the logarithm of this phase's own part of the uncertainty.
    who: ids of the people any one of whom can do it; empty: nobody is needed.
    max_wait_s: longest wait before the next phase of the same step; None: no limit.
    hand_over: an interrupted phase may be taken up by another of `who`.
    stop_odds: chance that a run with nobody stops on its way and stands until someone is in.
    elsewhere: it passes outside the shop; what the shop usually takes longer does not stretch it.
    """

    name: str
    duration_s: Figure
    spread: float
    who: tuple[str, ...]
    interruptible: bool
    max_wait_s: float | None = None
    hand_over: bool = False
    stop_odds: float = 0.0
    elsewhere: bool = False


@dataclass(frozen=True, slots=True)
class HoldPoint:
    """A measurement inside a running program or between passes, with limits and what happens if they fail."""

    feature: str
    low_mm: float
    high_mm: float
    gauge: str
    if_not: Reason


@dataclass(frozen=True, slots=True)
class Step:
    """One visit to one station. Its machine is held from the start of its first phase to the end of its last.

    makes: ids of the part's features that this step makes.
    limits: what bounded its figures, most telling first. tools: what it needs, in the words of the drawer.
    cash: money that goes out for this step alone (tools worn, fees), in the shop's currency.
    split: where one part's time goes: cutting, getting there, hands, and what the first part takes more.
    notes: what else to know here: the datum, limits that are not the drawing's, why it is measured first.
    needs_stock: it cannot begin before what is bought is here; desk work can.
    after: ids of the steps that must be done before it begins.
    tool_s: number of each tool and how long it cuts in one part.
    lifted: the heaviest thing moved by hand for it, kg, with what one person may lift so; None: nothing is moved.
    """

    id: str
    station: str
    machine: str | None
    holding: Reason
    phases: tuple[Phase, ...]
    makes: tuple[str, ...]
    limits: tuple[Figure, ...]
    cautions: tuple[Reason, ...] = ()
    hold_points: tuple[HoldPoint, ...] = ()
    unattended: bool = False
    unattended_why: tuple[Reason, ...] = ()
    tools: tuple[str, ...] = ()
    cash: Decimal = Decimal(0)
    split: tuple[Figure, ...] = ()
    notes: tuple[Reason, ...] = ()
    needs_stock: bool = True
    after: tuple[str, ...] = ()
    lifted: Figure | None = None
    tool_s: tuple[tuple[int, float], ...] = ()

    @property
    def person_s(self) -> float:
        return sum(phase.duration_s.value for phase in self.phases if phase.who)

    @property
    def machine_s(self) -> float:
        return sum(phase.duration_s.value for phase in self.phases) if self.machine else 0.0


@dataclass(frozen=True, slots=True)
class Blank:
    """What goes into the first cutting machine: one for each part. size_mm as in Piece; (width, thickness) of a block.

    axes: which axes of the part's frame lie along the blank's length, width and thickness. as_stock: of "width" and
        "thickness", those whose two faces stay as the stock comes.
    """

    shape: str
    size_mm: tuple[float, ...]
    length_mm: float
    mass_kg: float
    material: str
    why: tuple[Reason, ...]
    axes: tuple[int, int, int] = (0, 1, 2)
    as_stock: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Laid:
    """One outline on a sheet: turned counter-clockwise about the drawing's origin, then shifted. body: as in Outline.

    tabs: bridges that hold it in the sheet. tips: it would tip between the slats when it is cut free.
    """

    body: int
    x_mm: float
    y_mm: float
    turn_deg: float
    tabs: int = 0
    tips: bool = False


@dataclass(frozen=True, slots=True)
class SheetCut:
    """A sheet, plate or remnant, and what is cut from it, in the order of cutting.

    piece: id of the rack's piece; None: bought. count: so many sheets are cut alike.
    outline_mm, holes_mm: of the sheet. used: share of it that becomes parts.
    rest_mm: the corners of what is left over in one piece; empty: nothing worth keeping. rest_mm2: its area.
    area_mm2: of the sheet, what is cut out of it left out.
    """

    name: str
    piece: str | None
    count: int
    thickness_mm: float
    heat_number: str
    outline_mm: tuple[tuple[float, float], ...]
    holes_mm: tuple[tuple[tuple[float, float], ...], ...]
    laid: tuple[Laid, ...]
    gap_mm: float
    margin_mm: float
    used: float
    mass_kg: float
    rest_mm: tuple[tuple[float, float], ...] = ()
    rest_mm2: float = 0.0
    area_mm2: float = 0.0


@dataclass(frozen=True, slots=True)
class Purchase:
    """What has to be bought: for which money, from whom."""

    what: Reason
    supplier: str
    cost: Decimal
    length_mm: float
    mass_kg: float


@dataclass(frozen=True, slots=True)
class Undone:
    """A refusal: who cannot do what, every limit that says so, and the nearest change that would make it a yes.

    reasons: all of them, the widest miss first. nearest: the cheapest relaxation, or None if none is known.
    """

    station: str
    machine: str | None
    features: tuple[str, ...]
    reasons: tuple[Reason, ...]
    nearest: Reason | None = None

    @property
    def of_a_piece(self) -> bool:
        """Whether it says of one piece of the rack that it does not do."""
        return self.station == "stock" and any("piece" in dict(reason.given) for reason in self.reasons[:1])


@dataclass(frozen=True, slots=True)
class Route:
    """The steps from piece to delivered parts, for the whole lot.

    piece: id of the rack piece that is used, or None when it is bought.
    cannot: what this route does not make. An empty `steps` only ever stands beside a `cannot` that says why.
    refused: machines of the floor that take no part in this route, each with all its limits; no bar to the route.
    cost: what the route was ranked by: material, people and machines at cost, for the lot.
    handling: weights of bar, blank and finished part, and what one person may lift.
    chart: the tolerance chart, the least likely size first. sheets: of a part cut from plate, how each is cut up.
    """

    steps: tuple[Step, ...]
    blank: Blank | None
    piece: str | None
    rest_mm: float | None
    buy: tuple[Purchase, ...]
    cannot: tuple[Undone, ...]
    why: tuple[Reason, ...]
    refused: tuple[Undone, ...] = ()
    cost: Figure | None = None
    handling: tuple[Figure, ...] = ()
    chart: tuple[Charted, ...] = ()
    sheets: tuple[SheetCut, ...] = ()

    @property
    def left(self) -> int:
        """How much it does not make: each feature once, and each refusal that names none.

        Surfaces of no plain shape that are refused together are one: ribs, teeth, a worn skin.
        """
        seen: set[str] = set()
        count = 0
        for no in self.cannot:
            new = set(no.features) - seen
            seen |= new
            shapeless = any(dict(reason.given).get("kind") == "free-form surface" for reason in no.reasons)
            count += 1 if not no.features else min(len(new), 1) if shapeless else len(new)
        return count


@dataclass(frozen=True, slots=True)
class Chain:
    """Steps of a job that follow one another. after: ids of chains done before it begins. buy: what it waits for."""

    id: str
    steps: tuple[Step, ...]
    after: tuple[str, ...] = ()
    buy: tuple[Purchase, ...] = ()
