"""A cutting plan judged by the rules alone, in fractions, and the least cost of a tiny list by trying everything.

Plain values only: a list is a dict with the keys of the request file, all amounts as text.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import cache

List = dict[str, object]


def rest(wanted: List, length: str, parts: Sequence[str]) -> Fraction:
    """What is left of a piece when these parts are cut off it."""
    kerf, trim = Fraction(str(wanted["kerf_mm"])), Fraction(str(wanted["end_trim_mm"]))
    left = Fraction(length) - (trim + kerf if trim > 0 else 0)
    return left - sum((Fraction(part) + kerf for part in parts), Fraction(0))


def cost(wanted: List, piece_cost: str, left: Fraction) -> Fraction:
    """What opening a piece costs when this is left of it."""
    keep, value = Fraction(str(wanted["rest_keep_mm"])), Fraction(str(wanted["rest_value_per_mm"]))
    return Fraction(piece_cost) - (value * left if left >= keep else 0)


def faults(wanted: List, cuts: Sequence[tuple[str, Sequence[str], str]], unplaced: dict[str, int]) -> Iterator[str]:
    """All that is wrong with a plan. cuts: piece, its parts, its rest as told."""
    pieces = {one["id"]: one for one in wanted["piece"]}
    parts = {one["id"]: one for one in wanted["part"]}
    made = Counter(unplaced)
    for name, count in Counter(piece for piece, _, _ in cuts).items():
        if count > 1 or name not in pieces:
            yield f"{name} is opened {count} times, or is no piece"
    for piece, cut, told in cuts:
        if not cut:
            yield f"{piece} is opened for nothing"
        made.update(cut)
        left = rest(wanted, pieces[piece]["length_mm"], [parts[part]["length_mm"] for part in cut])
        if left != Fraction(told):
            yield f"{piece}: the rest is {left}, not {told}"
        if left < Fraction(str(wanted["grip_mm"])):
            yield f"{piece}: the rest {left} is less than the grip"
    if made != Counter({name: part["count"] for name, part in parts.items() if part["count"]}):
        yield f"made and left out are {made}"


def total(wanted: List, cuts: Sequence[tuple[str, Sequence[str], str]]) -> Fraction:
    """What a plan costs."""
    pieces = {one["id"]: one for one in wanted["piece"]}
    parts = {one["id"]: one for one in wanted["part"]}
    return sum(
        (
            cost(
                wanted,
                pieces[piece]["cost"],
                rest(wanted, pieces[piece]["length_mm"], [parts[p]["length_mm"] for p in cut]),
            )
            for piece, cut, _ in cuts
        ),
        Fraction(0),
    )


def least(wanted: List) -> tuple[Fraction, Fraction]:
    """Least length left out, and the least cost of any plan that leaves out so little; by trying everything."""
    lengths = [part["length_mm"] for part in wanted["part"] for _ in range(part["count"])]
    pieces = wanted["piece"]

    @cache
    def best(k: int, left: tuple[int, ...]) -> tuple[Fraction, Fraction]:
        if k == len(pieces):
            return sum((Fraction(lengths[i]) for i in left), Fraction(0)), Fraction(0)
        found = best(k + 1, left)
        for mask in range(1, 2 ** len(left)):
            cut = [i for n, i in enumerate(left) if mask >> n & 1]
            over = rest(wanted, pieces[k]["length_mm"], [lengths[i] for i in cut])
            if over < Fraction(str(wanted["grip_mm"])):
                continue
            out, rest_cost = best(k + 1, tuple(i for i in left if i not in cut))
            found = min(found, (out, rest_cost + cost(wanted, pieces[k]["cost"], over)))
        return found

    return best(0, tuple(range(len(lengths))))


def bound_by_prices(wanted: List, prices: dict[str, Fraction]) -> Fraction:
    """What cutting all parts costs at least, by a price for each: any prices give a bound.

    All parts at their price, less the most that any piece can earn: its best filling's prices less its cost.
    """
    total_price = sum((prices[part["id"]] * part["count"] for part in wanted["part"]), Fraction(0))
    items = [(part["length_mm"], part["count"], prices[part["id"]]) for part in wanted["part"]]
    best = list[Fraction]()
    for piece in wanted["piece"]:
        reached: dict[Fraction, Fraction] = {rest(wanted, piece["length_mm"], []): Fraction(0)}
        kerf, grip = Fraction(str(wanted["kerf_mm"])), Fraction(str(wanted["grip_mm"]))
        for length, count, price in items:
            for _ in range(count):
                more = dict(reached)
                for left, worth in reached.items():
                    after = left - Fraction(length) - kerf
                    if after >= grip:
                        more[after] = max(more.get(after, worth + price), worth + price)
                reached = more
        whole = rest(wanted, piece["length_mm"], [])
        earned = [worth - cost(wanted, piece["cost"], left) for left, worth in reached.items() if left != whole]
        best.append(max([Fraction(0), *earned]))
    # No more pieces are opened than there are parts.
    return total_price - sum(sorted(best)[-sum(part["count"] for part in wanted["part"]) :])
