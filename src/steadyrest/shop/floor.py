"""What stands on the floor and who works there, as values read from shop.toml. Nothing here computes.

Lengths mm, forces N, power W, torque Nm, speeds rpm or mm/min, masses kg, times s. Money: Decimal, the shop's currency.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Literal

from steadyrest.shop.figure import Reason
from steadyrest.shop.machine_hour import MachineHour
from steadyrest.shop.machine_limits import BenchLimits as BenchLimits
from steadyrest.shop.machine_limits import BrakeLimits as BrakeLimits
from steadyrest.shop.machine_limits import CutterLimits as CutterLimits
from steadyrest.shop.machine_limits import CutWay as CutWay
from steadyrest.shop.machine_limits import GrinderLimits as GrinderLimits
from steadyrest.shop.machine_limits import LatheLimits as LatheLimits
from steadyrest.shop.machine_limits import Limits as Limits
from steadyrest.shop.machine_limits import MillAxes as MillAxes
from steadyrest.shop.machine_limits import MillLimits as MillLimits
from steadyrest.shop.machine_limits import PowerCurve as PowerCurve
from steadyrest.shop.machine_limits import SawLimits as SawLimits
from steadyrest.shop.machine_limits import Tool as Tool

MachineKind = Literal["lathe", "mill", "saw", "grinder", "brake", "cutter", "bench"]
BarShape = Literal["round", "square", "hexagon", "flat", "tube", "plate"]


@dataclass(frozen=True, slots=True)
class Machine:
    """One machine.

    per_hour: what an hour of it costs, people left out; hour: where that comes from, if it is worked out.
    stands: when it does not run, for its service or a repair. never_alone: hands on it need a second person in.
    not_alone: (weekday, from, to) as a person's week: when it may not run by itself, whatever else allows it.
    warm_up_s: it stands so long when the first comes in, if nobody was in for cold_after_s.
    service_every_h, service_s: it is served after so many hours run, which takes so long.
    """

    id: str
    name: str
    kind: MachineKind
    limits: Limits
    tools: tuple[Tool, ...]
    may_run_alone: bool
    set_up_s: float
    per_hour: Decimal
    hour: MachineHour | None = None
    stands: tuple[tuple[datetime, datetime], ...] = ()
    never_alone: bool = False
    not_alone: tuple[tuple[int, int, int], ...] = ()
    warm_up_s: float = 0.0
    cold_after_s: float = 4 * 3600.0
    service_every_h: float = 0.0
    service_s: float = 7200.0


@dataclass(frozen=True, slots=True)
class Person:
    """One person. week: (weekday from Monday 0, from, to) in minutes of the local day. away: stretches not there.

    skills: ids of machines, and of the ways of working "hand", "inspect", "deliver", "drive", "program".
    pace: this person's usual time against the estimate (1 = as estimated), spread its sd of the logarithm.
    interrupted: share of their hours that telephone and visitors take, where pace does not count it already.
    per_hour: what an hour costs the shop; charge_per_hour: what it is sold for.
    longest_day_s, rest_s: nobody works past so long after their day began, and rests so long before the next.
    """

    id: str
    name: str
    week: tuple[tuple[int, int, int], ...]
    away: tuple[tuple[datetime, datetime], ...]
    skills: tuple[str, ...]
    pace: float
    spread: float
    per_hour: Decimal
    charge_per_hour: Decimal
    interrupted: float = 0.0
    longest_day_s: float = math.inf
    rest_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Material:
    """One metal, from tables/materials.csv, with the shop's own price.

    group: VDI 3323 group. kc11_mpa, mc: Kienzle. rm_mpa: tensile strength, yield_mpa where known.
    vc_m_min: (hss low, hss high, carbide low, carbide high) for turning. sources: keys of tables/sources.toml.
    """

    id: str
    name: str
    other_names: tuple[str, ...]
    group: int
    density_kg_m3: float
    kc11_mpa: float
    mc: float
    hardness_hb: float
    rm_mpa: float
    e_mpa: float
    expansion_per_k: float
    vc_hss_m_min: tuple[float, float]
    vc_carbide_m_min: tuple[float, float]
    price_per_kg: Decimal
    stringy: bool
    magnetic: bool
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Piece:
    """A physical bar, plate or tube on the floor, with a place.

    size_mm: (diameter,) round; (side,) square; (across flats,) hexagon; (width, thickness) flat and plate;
        (outside, wall) tube. condition: "bright drawn", "hot rolled", "peeled", "turned and ground".
    outline_mm, holes_mm: of a plate that is no whole rectangle any more: its edge, and what is cut out of it.
    """

    id: str
    shape: BarShape
    size_mm: tuple[float, ...]
    length_mm: float
    material: str
    condition: str
    place: str
    heat_number: str
    cost: Decimal
    outline_mm: tuple[tuple[float, float], ...] = ()
    holes_mm: tuple[tuple[tuple[float, float], ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Supplier:
    """Who sells bar. cut_off_min: minute of the local day by which to order for the next delivery.

    lead_days: working days to the delivery at `arrives_min`; delay_odds: chance of a working day more.
    markup_on_kg: what this supplier adds to the material's price per kg, as a share (0.25: a quarter more).
    cut_each: what sawing one piece to size costs there. brings: weekdays from Monday 0 on which its carrier comes.
    holidays: days, as 2026-12-25, on which it takes no order and sends nothing, besides the shop's own.
    """

    id: str
    name: str
    sells: tuple[str, ...]
    cut_off_min: int
    arrives_min: int
    lead_days: int
    delay_odds: float
    order_minimum: Decimal
    freight: Decimal
    markup_on_kg: float
    cut_each: Decimal = Decimal(0)
    brings: tuple[int, ...] = (0, 1, 2, 3, 4)
    holidays: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Vendor:
    """Who does work outside.

    does: treatments, as in Finish. metals: ids of those taken; none: any. longest_mm, heaviest_kg: of one part.
    thickness_um, hardness_hrc, case_mm: what can be had, from and to. band: by which share a plating is off.
    leave_mm: on the diameter, to be left for grinding. repeat_mm: band within which a ground size repeats.
    days: weekdays from Monday 0 on which work is taken in, until take_in_min of the local day; lead_days: working days
        from then; ready_min: minute of the day when it is done. delay_odds: chance of a working day more.
    transit_s: one way, by us; 0: they fetch and bring.
    minimum, freight: of an order. per_kg, per_piece, per_dm2: prices.
    """

    id: str
    name: str
    does: tuple[str, ...]
    metals: tuple[str, ...]
    longest_mm: float
    heaviest_kg: float
    thickness_um: tuple[float, float]
    hardness_hrc: tuple[float, float]
    case_mm: tuple[float, float]
    band: float
    leave_mm: float
    repeat_mm: float
    days: tuple[int, ...]
    take_in_min: int
    lead_days: int
    ready_min: int
    delay_odds: float
    transit_s: float
    minimum: Decimal
    freight: Decimal
    per_kg: Decimal
    per_piece: Decimal
    per_dm2: Decimal


@dataclass(frozen=True, slots=True)
class Gauge:
    """A measuring instrument. measures: "outside", "inside", "bore", "slot", "depth", "length", "angle", "thread"."""

    id: str
    name: str
    measures: tuple[str, ...]
    range_mm: tuple[float, float]
    u_mm: float
    due: datetime | None


@dataclass(frozen=True, slots=True)
class Habits:
    """How this shop works: lengths in mm, times in s.

    prove_out: how many times as long the first part of a lot runs (single block, reduced rapids, looking).
    finish_ra_um: roughness wanted where nothing else is said. repeat_rate: what each doubling of the times that a part
    was made leaves of its hours; learned, 1 until then.
    """

    grip_mm: float
    facing_mm: float
    part_off_mm: float
    finish_allowance_mm: float
    keep_rest_mm: float
    deburr_s_per_m: float
    measure_s: float
    deliver_s: float
    handling_s: float
    lift_alone_kg: float
    bias: float
    bias_spread: float
    difficulty_spread: float
    prove_out: float = 1.6
    finish_ra_um: float = 1.6
    repeat_rate: float = 1.0


@dataclass(frozen=True, slots=True)
class Terms:
    """Money: how the shop sells.

    day_from_min, day_to_min: minutes of the local day, Monday to Friday, outside of which an hour is after hours.
    deposit: share of an offer of deposit_from or more that is paid before the work begins; 0: none is asked.
    """

    minimum_charge: Decimal
    margin: float
    rush_factor: float
    after_hours_factor: float
    wanted_odds: float
    validity_days: int
    day_from_min: int = 6 * 60
    day_to_min: int = 20 * 60
    deposit: float = 0.0
    deposit_from: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class Carriage:
    """What the shop brings things with. van_kg: what the van takes.

    Of the trailer (coupling_mm 0: there is none): empty_kg: its own mass; empty_tongue_kg: what it puts on the coupling
    when empty; coupling_mm: from axle to coupling; gross_kg, axle_kg, tongue_kg: what plate, axle and coupling allow.
    """

    van_kg: float
    empty_kg: float = 0.0
    empty_tongue_kg: float = 0.0
    coupling_mm: float = 0.0
    gross_kg: float = 0.0
    axle_kg: float = 0.0
    tongue_kg: float = 0.0


@dataclass(frozen=True, slots=True)
class Shop:
    """The shop as its file says. promised: work already promised, soonest due first.

    holidays: days, as 2026-12-25, on which nobody is in and nothing is brought; people's `away` holds them too.
    """

    name: str
    currency: str
    timezone: str
    unit: str
    people: tuple[Person, ...]
    machines: tuple[Machine, ...]
    materials: tuple[Material, ...]
    pieces: tuple[Piece, ...]
    suppliers: tuple[Supplier, ...]
    gauges: tuple[Gauge, ...]
    habits: Habits
    terms: Terms
    promised: tuple[PromisedWork, ...] = ()
    vendors: tuple[Vendor, ...] = ()
    shared: tuple[Shared, ...] = ()
    holidays: tuple[str, ...] = ()
    carriage: Carriage | None = None

    def machine(self, name: str) -> Machine:
        return next(machine for machine in self.machines if machine.id == name)

    def material(self, name: str) -> Material:
        return next(material for material in self.materials if material.id == name)

    def person(self, name: str) -> Person:
        return next(person for person in self.people if person.id == name)

    def operators(self, skill: str) -> tuple[str, ...]:
        """Ids of the people who have this skill (a machine's id or a way of working), in the file's order."""
        return tuple(person.id for person in self.people if skill in person.skills)


@dataclass(frozen=True, slots=True)
class Shared:
    """What machines share: power, compressed air, extraction, floor under the crane. Those together over it wait.

    unit: in words, such as "kW" or "l/min". allows: how much there is. asks: of each machine while something runs on
        it, as (machine, amount); a machine not named asks for none.
    """

    id: str
    name: str
    unit: str
    allows: float
    asks: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class PromisedPhase:
    """A stretch of work already promised; what it says is what shop/work.py says of a phase. step: its step's id."""

    machine: str | None
    who: tuple[str, ...]
    duration_s: float
    spread: float
    interruptible: bool
    max_wait_s: float | None = None
    hand_over: bool = False
    stop_odds: float = 0.0
    elsewhere: bool = False
    two_in: bool = False
    step: str = ""


@dataclass(frozen=True, slots=True)
class PromisedWork:
    """A job already promised, as far as the plan must know it.

    due: the moment promised, or (weekday, minute): the first such moment after now, in the shop's time zone.
    late_per_hour: what an hour late costs, as the owner sees it. not_before: when what is bought for it is here.
    own: the shop's own work, which never comes before a customer's. why: what changed its hours since it was planned.
    """

    id: str
    what: str
    due: datetime | tuple[int, int]
    late_per_hour: Decimal
    value: Decimal
    phases: tuple[PromisedPhase, ...]
    not_before: datetime | None = None
    own: bool = False
    why: tuple[Reason, ...] = ()
