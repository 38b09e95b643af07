"""What a route leaves to others: what that costs about, which tool bought would spare it, and when it is too much."""

from __future__ import annotations

from dataclasses import dataclass, replace

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Shop
from steadyrest.shop.work import Route, Undone
from steadyrest.tables.practice import rule

BOUGHT_TOOLS = (
    "turn.buy_drill", "turn.buy_reamer", "turn.buy_bar", "mill.buy_size", "mill.buy_between", "mill.buy_smaller",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class LeftOver:
    """What others would have to do. why: why that is too much to take the job; nearest: what would be a yes."""

    why: Reason
    nearest: Reason


def too_much_left(route: Route) -> LeftOver | None:
    """Whether a route leaves so much to others that the job is honestly a no.

    What only wants a tool that is bought counts as made: that is settled with one order. Of the rest, more than half of
    the features is too much; and a fifth is, where so many different things have to come true for it that nobody could
    say when they all are. Money is not weighed: what another asks is not known here.

    Args:
        route: with steps.
    Returns: why not, and the nearest yes; None: it may be taken.
    """
    others = tuple(no for no in route.cannot if no.features and not _bought(no))
    left = replace(route, cannot=others).left
    made = {name for step in route.steps for name in step.makes}
    made |= {name for no in route.cannot if _bought(no) for name in no.features}
    made -= {name for no in others for name in no.features}
    count = left + len(made)
    ways = len({no.nearest or no.reasons for no in others})
    share = left / count if count else 0.0
    nearest = because("left.nearest", count=float(len(made)))
    if share > rule("others_most_share"):
        return LeftOver(because("left.most", left=float(left), count=float(count)), nearest)
    if share > rule("others_with_many_share") and ways > rule("others_most_ways"):
        return LeftOver(because("left.many", left=float(left), count=float(count), ways=float(ways)), nearest)
    return None


def _bought(no: Undone) -> bool:
    return no.nearest is not None and no.nearest.key in BOUGHT_TOOLS


def left_money(route: Route, shop: Shop) -> float:
    """About what it costs to have made elsewhere what a route leaves: as much as the shop's own least charge for each.

    Args:
        route: any.
        shop: its terms.
    Returns: money; only to compare routes.
    """
    return route.left * float(shop.terms.minimum_charge)


def with_a_tool(first: Route, able: list[Route]) -> Route:
    """The first route, with a word where a tool to buy would make a cheaper one whole.

    Args:
        first: taken.
        able: all that have steps.
    Returns: the same, or with one reason more.
    """
    if first.left or first.cost is None:
        return first
    for route in sorted(able, key=lambda one: one.cost.value if one.cost else 0.0):
        buys = [no.nearest for no in route.cannot if no.nearest is not None and no.nearest.key in BOUGHT_TOOLS]
        if not buys or len(buys) < len(route.cannot) or route.cost is None or route.cost.value >= first.cost.value:
            continue
        size = dict(buys[0].given)["diameter_mm"]
        why = because("route.cheaper_with_tool", tools=float(len(set(buys))), diameter_mm=size,
                      less_money=first.cost.value - route.cost.value)  # fmt: skip
        return replace(first, why=(*first.why, why))
    return first
