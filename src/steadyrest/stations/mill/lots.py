"""A lot on a mill whose clampings hold several parts: what is shared, and the phases that come of it.

Shared in a clamping: changing tools, opening and shutting the machine, part of the loading. Not shared: cutting, ways
from feature to feature, measuring. The first part is always proved out by itself.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.work import Phase
from steadyrest.stations.mill.set_ups.places import Places
from steadyrest.stations.phases import ALONE_AT_MOST, ALONE_FROM_S, Cycle, first_part, lot_phases
from steadyrest.tables.practice import rule


@dataclass(frozen=True, slots=True)
class Lot:
    """A lot's work in one set-up, so many parts in each clamping.

    own: one part alone in its clamping. changes_s: what changing tools takes of its getting there. load_s: loading and
    unloading it; stop_s: stopping for a measurement, both of its hands.
    """

    own: Cycle
    changes_s: float
    load_s: float
    stop_s: float
    set_up_s: float
    quantity: int
    places: Places

    @property
    def clampings(self) -> int:
        """Of the parts after the first."""
        return math.ceil((self.quantity - 1) / self.places.count)

    @property
    def others(self) -> Cycle:
        """One of the other parts, by the mean of them."""
        count = self.places.count
        rest = self.quantity - 1
        if count <= 1 or rest <= 0:
            return self.own
        shared = self.clampings / rest
        travel_s = self.own.travel_s - self.changes_s + self.changes_s * shared
        more = rule("next_place_share")
        load_s = self.load_s * (shared + more * (1.0 - shared))
        hands_s = self.own.hands_s - self.load_s - self.stop_s + load_s + self.stop_s * shared
        return Cycle(self.own.cut_s, travel_s, hands_s, self.own.estimate_spread)

    @property
    def making_ready_s(self) -> float:
        """Setting up, with a stop and a zero more for each place, and truing each vise more."""
        if self.places.count <= 1:
            return self.set_up_s
        places_s = (self.places.count - 1) * rule("place_set_s")
        return self.set_up_s + places_s + (self.places.holders - 1) * rule("vise_set_s")

    @property
    def whole_s(self) -> float:
        """All of it but what proving out takes more, which is alike whatever stands in a clamping."""
        each = self.others.run_s + self.others.hands_s
        return self.making_ready_s + (self.quantity - 1) * each + self.own.run_s + self.own.hands_s


def best_lot(lots: list[Lot]) -> Lot:
    """The lot that takes least time; of equals the one with fewest parts in a clamping."""
    return min(lots, key=lambda lot: (round(lot.whole_s, 3), lot.places.count))


def phases_of(lot: Lot, *, who: tuple[str, ...], alone: bool, prove_out: float, edge_changes: int) -> tuple[Phase, ...]:
    """Set-up, first part, and the others, clamping by clamping.

    Args:
        lot: what is shared.
        who: ids of those who can do it.
        alone: whether the machine may run with nobody there once the first part is right.
        prove_out: how many times as long the first part runs.
        edge_changes: how often an edge is changed over the lot.
    Returns: the phases of the lot.
    """
    if lot.places.count <= 1 or lot.quantity <= 1:
        return lot_phases(
            lot.own, set_up_s=lot.set_up_s, quantity=lot.quantity, who=who, alone=alone, prove_out=prove_out,
            edge_changes=edge_changes,
        )  # fmt: skip
    ready_s, count = lot.making_ready_s, lot.places.count
    why = because(
        "time.set_up_places", set_up_s=lot.set_up_s, more_s=ready_s - lot.set_up_s, places=float(count),
        vises=float(lot.places.holders),
    )  # fmt: skip
    ready = Phase("set up", Figure(ready_s, "s", (why,)), rule("spread_set_up"), who, True)
    phases = [ready, first_part(lot.own, who, prove_out, 0.0)]
    each, rest, runs = lot.others, lot.quantity - 1, lot.clampings
    if alone and runs <= ALONE_AT_MOST and each.run_s * count >= ALONE_FROM_S and not edge_changes:
        return (*phases, *_alone(lot, who))
    changes_s = edge_changes * rule("edge_change_s")
    told = because(
        "time.others_shared", count=float(rest), each_s=each.run_s + each.hands_s, clampings=float(runs),
        changes_s=changes_s,
    )  # fmt: skip
    figure = Figure(rest * (each.run_s + each.hands_s) + changes_s, "s", (told,))
    phases.append(Phase("the other parts", figure, each.cut_spread, who, True, hand_over=True))
    return tuple(phases)


def _alone(lot: Lot, who: tuple[str, ...]) -> list[Phase]:
    """Somebody loads a clamping, nobody runs it."""
    each, left, found = lot.others, lot.quantity - 1, list[Phase]()
    for number in range(1, lot.clampings + 1):
        here = min(lot.places.count, left)
        left -= here
        load = Figure(here * each.hands_s, "s", (because("time.load", hands_s=here * each.hands_s),))
        why = because("time.alone", cut_s=here * each.cut_s, travel_s=here * each.travel_s)
        found.append(Phase(f"load clamping {number}", load, rule("spread_hands"), who, False))
        run = Figure(here * each.run_s, "s", (why,))
        found.append(Phase(f"run clamping {number}", run, each.cut_spread, (), False))
    return found


def notes_of(lot: Lot) -> tuple[Reason, ...]:
    """What stands in a clamping and what that saves, where several parts do."""
    if lot.places.count <= 1:
        return ()
    alone = lot.own.run_s + lot.own.hands_s
    shared = lot.others.run_s + lot.others.hands_s
    saves = because(
        "mill.many_saves", alone_s=alone, each_s=shared, first_s=lot.making_ready_s - lot.set_up_s,
        clampings=float(lot.clampings),
    )  # fmt: skip
    return (*lot.places.why, saves)
