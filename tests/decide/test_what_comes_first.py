"""Of many reasons for a no, what holds whichever piece of the rack is taken comes first."""

from __future__ import annotations

from steadyrest.decide.take import _cannot
from steadyrest.shop.figure import because
from steadyrest.shop.work import Route, Undone


def test_what_holds_for_every_piece_comes_before_what_one_piece_lacks() -> None:
    small = because("stock.too_small", piece="R1", has_mm=44.0, wanted_mm=901.0, short_mm=857.0)
    sold = because("stock.no_such_bar", wanted_mm=900.0)
    longer = because("turn.nearest_short")
    route = Route(
        steps=(), blank=None, piece=None, rest_mm=None, buy=(), cost=None, why=(), refused=(),
        cannot=(
            Undone("stock", None, (), (small,), because("stock.nearest")), Undone("stock", None, (), (sold,)),
            Undone("turn", "lathe", (), (longer,), longer),
        ),
    )  # fmt: skip
    told = _cannot([route], ())
    assert told.why == (longer, sold, small)
    assert told.nearest_yes == longer
