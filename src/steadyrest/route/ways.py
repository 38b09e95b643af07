"""The ways that a part could go over this floor: which stations share its features, and how its bar comes to them.

Every choice of stock is tried each way; what a way leaves undone is a reason against it, not an end to the search.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from steadyrest.route.assembly import Job, assemble
from steadyrest.route.bar_fed import fed, feeders, pulling
from steadyrest.route.turned_cells import as_body
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import LatheLimits, Machine
from steadyrest.shop.work import Route, Undone
from steadyrest.stations.turn.driven import has_driven, is_driven
from steadyrest.stock.block_choice import block_choices
from steadyrest.stock.choice import Choice
from steadyrest.tables.practice import rule


@dataclass(frozen=True, slots=True)
class Gone:
    """What came of one way. why: how it differs from the plain one; None for the plain one itself."""

    route: Route
    why: Reason | None


def gone_through(job: Job, choice: Choice) -> tuple[Gone, ...]:
    """A choice of stock, each way that this floor has for it.

    Args:
        job: what is made.
        choice: the stock.
    Returns: the routes, the plain one first.
    """
    found = [Gone(assemble(job, choice), None)]
    if _shared(job):
        mills = assemble(replace(job, turn_only=True), choice)
        if mills.steps and mills.steps != found[0].route.steps:
            found.append(Gone(_said(mills, because("route.milled_after")), because("route.milled_after")))
    lathes, key = _through(job, choice, found[0].route)
    if lathes:
        got = fed(choice, job.part, lathes, material=job.material, quantity=job.quantity, shop=job.shop)
        if isinstance(got, Undone):
            found[0] = Gone(replace(found[0].route, refused=(*found[0].route.refused, got)), None)
        else:
            why = because(key, count=float(got.per_bar))
            found.append(Gone(_said(assemble(job, got, fed=True), why), why))
    return tuple(found)


def _through(job: Job, choice: Choice, plain: Route) -> tuple[tuple[Machine, ...], str]:
    """The lathes that this bar goes through, and how that is said.

    Without a feeder it is tried where it may pay: several short parts, or one that cannot be held as a sawn blank.
    """
    profile = job.part.profile
    if profile is None or not job.turned or choice.cut_to_size or choice.blank.shape != "round":
        return (), ""
    if feeders(job.shop):
        return feeders(job.shop), "route.bar_fed"
    short = profile.length_mm <= profile.largest_mm * rule("stick_out_ratio")
    wanted = short and (job.quantity > 1 or not plain.steps or bool(plain.cannot))
    return (pulling(job.shop, choice.blank.size_mm[0]) if wanted else ()), "route.bar_pulled"


def _shared(job: Job) -> bool:
    """Whether driven tools and a mill could both make some of it."""
    profile = job.part.profile
    drives = any(isinstance(m.limits, LatheLimits) and has_driven(m.limits) for m in job.shop.machines)
    return job.turned and profile is not None and drives and any(is_driven(f, profile) for f in job.part.features)


def _said(route: Route, why: Reason) -> Route:
    return replace(route, why=(why, *route.why)) if route.steps else route


def _left_out(route: Route, hidden: tuple[str, ...]) -> Route:
    """What the body's cells do not show stays undone."""
    if not hidden or not route.steps:
        return route
    no = Undone("mill", None, hidden, (because("route.block_leaves", features=", ".join(hidden)),))
    return replace(route, cannot=(*route.cannot, no))


def as_block(job: Job, most: int) -> tuple[Gone, ...]:
    """A turned part tried on the mills, as a body without an axis.

    Args:
        job: of a turned part.
        most: choices of stock to go through at most.
    Returns: the routes, with a word on why they were tried; empty where there is no such body or stock.
    """
    mills = any(machine.kind == "mill" for machine in job.shop.machines)
    profile = job.part.profile
    if profile is None or not job.turned or not mills or min(job.part.size_mm) <= 0:
        return ()
    if profile.length_mm > rule("round_on_mill_ratio") * profile.largest_mm:
        return ()  # it would have to be cut lying, row by row: no way to make a round
    body, hidden = as_body(job.part)
    block = replace(job, part=body)
    found, _ = block_choices(block.part, material=job.material, quantity=job.quantity, shop=job.shop)
    why = because("route.milled_whole")
    routes = [_left_out(assemble(block, choice), hidden) for choice in found[:most]]
    return tuple(Gone(_said(route, why), why) for route in routes)
