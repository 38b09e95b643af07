"""What a short list costs at least with the saw's time in it, by trying everything; what a plan costs, counted anew.

Plain values only: a list is the dict of cut_checker.py with cut_s, load_s, stack and per_hour beside it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from tests.oracles.cut_checker import List, cost, rest

Cut = tuple[str, tuple[str, ...]]  # a piece's id, its parts' ids


def total(wanted: List, cuts: Sequence[Cut]) -> Fraction:
    """Pieces and saw: every bar is loaded; bars of one length cut alike are stacked, so many at once."""
    pieces = {one["id"]: one for one in wanted["piece"]}
    lengths = {one["id"]: one["length_mm"] for one in wanted["part"]}
    trims = 1 if Fraction(str(wanted["end_trim_mm"])) > 0 else 0
    money, seconds, alike = Fraction(0), Fraction(0), Counter[object]()
    for name, parts in cuts:
        left = rest(wanted, pieces[name]["length_mm"], [lengths[part] for part in parts])
        assert left >= Fraction(str(wanted["grip_mm"]))
        money += cost(wanted, pieces[name]["cost"], left)
        seconds += Fraction(str(wanted["load_s"]))
        alike[Fraction(pieces[name]["length_mm"]), tuple(sorted(lengths[part] for part in parts))] += 1
    for (_, parts), many in alike.items():
        seconds += -(-many // int(wanted["stack"])) * (len(parts) + trims) * Fraction(str(wanted["cut_s"]))
    return money + seconds * Fraction(str(wanted["per_hour"])) / 3600


def least_total(wanted: List) -> Fraction | None:
    """The least that all parts can be cut for; None: they cannot all be cut."""
    parts = [part["id"] for part in wanted["part"] for _ in range(part["count"])]
    lengths = {one["id"]: one["length_mm"] for one in wanted["part"]}
    best: Fraction | None = None
    cuts = dict[str, list[str]]()
    names = [one["id"] for one in wanted["piece"]]
    long = {one["id"]: one["length_mm"] for one in wanted["piece"]}

    def place(k: int) -> None:
        nonlocal best
        if k == len(parts):
            found = total(wanted, [(name, tuple(some)) for name, some in cuts.items() if some])
            best = found if best is None else min(best, found)
            return
        for name in names:
            some = cuts.setdefault(name, [])
            left = rest(wanted, long[name], [lengths[part] for part in [*some, parts[k]]])
            if left >= Fraction(str(wanted["grip_mm"])):
                some.append(parts[k])
                place(k + 1)
                some.pop()
            if not some and any(one == name for one, _ in pairwise(names)) and _untouched_twin(wanted, cuts, name):
                break

    place(0)
    return best


def _untouched_twin(wanted: List, cuts: dict[str, list[str]], name: str) -> bool:
    """Whether all pieces after this one are like it, and none is opened: then trying them changes nothing."""
    pieces = wanted["piece"]
    at = [one["id"] for one in pieces].index(name)
    mine = pieces[at]
    return all(
        (one["length_mm"], one["cost"]) == (mine["length_mm"], mine["cost"]) and not cuts.get(one["id"])
        for one in pieces[at + 1 :]
    )
