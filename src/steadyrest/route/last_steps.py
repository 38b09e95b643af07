"""The end of a job of several parts: all packed and brought there in one trip, or put in place at the customer's.

Where two have to be there, both drive, both work: the second one's hours are a step of their own, side by side with the
first one's. Neither leaves before all is packed and loaded, so that both may leave at the same moment.
"""

from __future__ import annotations

from collections.abc import Sequence

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Shop
from steadyrest.shop.parts_list import Site
from steadyrest.shop.work import Phase, Step, Undone
from steadyrest.stations.deliver import carried, trip_why
from steadyrest.stations.phases import hand_phase
from steadyrest.tables.practice import rule

TWO = 2
LOADED = "pack and load"


def delivered(packing: Sequence[Phase], *, mass_kg: float, heaviest_kg: float, shop: Shop) -> Step | Undone:
    """The whole job brought there, in one trip if it can be.

    Args:
        packing: each part's own washing, marking and packing.
        mass_kg: of everything. heaviest_kg: of the heaviest thing in it. 0 where it is not known.
        shop: who delivers, with what, how long a trip takes.
    Returns: the step; or the refusal where nobody delivers, or a thing is too heavy.
    """
    who = shop.operators("deliver")
    if not who:
        return Undone("deliver", None, (), (because("deliver.nobody"),))
    by = carried(mass_kg, shop, heaviest_kg=heaviest_kg)
    if isinstance(by, Reason):
        return Undone("deliver", None, (), (by,), because("deliver.fetched"))
    trip_s = by.trips * shop.habits.deliver_s
    why = trip_why(by, shop)
    heavy = mass_kg > shop.habits.lift_alone_kg
    return Step(
        id="deliver",
        station="deliver",
        machine=None,
        holding=because("joined.one_trip"),
        phases=(*packing, hand_phase("bring it there", trip_s, who=who, key="time.trip")),
        makes=(),
        limits=(Figure(trip_s, "s", why),),
        cautions=(*((because("caution.load", load_kg=mass_kg),) if heavy else ()), *by.cautions),
        notes=by.notes,
        split=(Figure(trip_s, "s", why),),
    )


def at_site(site: Site, packing: Sequence[Phase], *, shop: Shop) -> tuple[Step, ...] | Undone:
    """The work at the customer's: loading, the drive, the work, the drive back.

    Args:
        site: where, how long, who, what to take.
        packing: each part's own washing, marking and packing.
        shop: its people.
    Returns: packing and loading, then a step for each of those who have to go, and the unloading when all are back; or
        the refusal: nobody does such work, or nobody is left to go along.
    """
    able = tuple(name for name in shop.operators("hand") if name in shop.operators("drive")) or shop.operators("hand")
    who = site.who or able
    if not who:
        return Undone("hand", None, (), (because("joined.site_nobody"),))
    home = _unloaded(who)
    loaded = _loaded(site, tuple(packing), who)
    if not site.never_alone:
        return (loaded, _trip(site, "at the customer's", who), home)
    if len(who) < TWO:
        name = shop.person(who[0]).name
        no = because("joined.site_alone", person=name)
        return Undone("hand", None, (), (no,), because("joined.site_second"))
    first, second = who[: len(who) // 2], who[len(who) // 2 :]
    return (
        loaded,
        _trip(site, "at the customer's", first),
        _trip(site, "at the customer's, the second one", second),
        home,
    )


def _unloaded(who: tuple[str, ...]) -> Step:
    unload_s = rule("site_load_s") / 2
    phase = hand_phase("unload", unload_s, who=who, key="time.trip")
    return Step("unload", "site", None, because("joined.unload"), (phase,), (), (phase.duration_s,))


def _loaded(site: Site, packing: tuple[Phase, ...], who: tuple[str, ...]) -> Step:
    """All that goes along packed and loaded, by one of those who go."""
    load = hand_phase("load tools and parts", rule("site_load_s") / 2, who=who, key="time.trip")
    return Step(
        LOADED, "site", None, because("joined.load"), (*packing, load), (), (load.duration_s,), tools=site.tools,
        notes=(because("joined.site_tools", tools=", ".join(site.tools)),) if site.tools else (),
    )  # fmt: skip


def _trip(site: Site, name: str, who: tuple[str, ...]) -> Step:
    drive = because("joined.drive", travel_s=site.travel_s)
    work = because("joined.site_work", hands_s=site.hands_s)

    def phase(label: str, duration_s: float, why: Reason, spread: float) -> Phase:
        return Phase(label, Figure(duration_s, "s", (why,)), spread, who, interruptible=False)

    cautions = [because("joined.caution_site")]
    if site.never_alone:
        cautions.insert(0, because("joined.caution_two"))
    return Step(
        id=name,
        station="site",
        machine=None,
        holding=because("joined.site_hold"),
        phases=(
            phase("drive there", site.travel_s, drive, rule("spread_travel")),
            Phase("work there", Figure(site.hands_s, "s", (work,)), rule("spread_site"), who, interruptible=True),
            phase("drive back", site.travel_s, drive, rule("spread_travel")),
        ),
        makes=(),
        limits=(Figure(site.hands_s + 2 * site.travel_s, "s", (work, drive)),),
        cautions=tuple(cautions),
        split=(Figure(site.hands_s, "s", (work,)),),
        after=(LOADED,),
    )
