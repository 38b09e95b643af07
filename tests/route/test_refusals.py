"""What is refused for the same reasons is said once, and nothing is lost on the way."""

from __future__ import annotations

from steadyrest.route.refusals import said_once
from steadyrest.shop.figure import because
from steadyrest.shop.work import Route, Undone
from steadyrest.wording.say import say


def pocket(name: str, *, wide_mm: float | None = None) -> Undone:
    why = because("mill.not_planned", feature=name, kind="pocket")
    more = () if wide_mm is None else (because("mill.nearest_cutter", diameter_mm=wide_mm),)
    return Undone("mill", "M1", (name,), (why, *more), None)


def test_what_differs_only_in_the_name_is_one_no_that_names_all() -> None:
    (one,) = said_once([pocket("F1"), pocket("F2"), pocket("F3")])
    assert one.features == ("F1", "F2", "F3")
    assert say(one.reasons[0]).startswith("F1, F2, F3: ")


def test_other_numbers_other_machines_and_other_kinds_stay_apart() -> None:
    other = Undone("mill", "M2", ("F4",), pocket("F4").reasons, None)
    boss = Undone("mill", "M1", ("F5",), (because("mill.not_planned", feature="F5", kind="boss"),), None)
    some = [pocket("F1", wide_mm=3.0), pocket("F2", wide_mm=4.0), pocket("F3", wide_mm=3.0), other, boss]
    found = said_once(some)
    assert [no.features for no in found] == [("F1", "F3"), ("F2",), ("F4",), ("F5",)]


def test_every_feature_is_refused_exactly_once_and_saying_it_again_changes_nothing() -> None:
    some = [pocket(f"F{n}", wide_mm=float(n % 3)) for n in range(9)]
    found = said_once(some)
    assert sorted(name for no in found for name in no.features) == sorted(f"F{n}" for n in range(9))
    assert said_once(found) == found


def test_what_a_route_leaves_counts_each_feature_once_and_shapeless_surfaces_refused_together_as_one() -> None:
    plain, free = (
        because("route.nobody", feature="F1"),
        because("mill.not_planned", feature="F7", kind="free-form surface"),
    )
    left = (
        Undone("mill", None, ("F1", "F2"), (plain,)),
        Undone("turn", None, ("F2", "F3"), (plain,)),
        Undone("mill", None, ("F7", "F8", "F9"), (free,)),
        Undone("outside", None, (), (plain,)),
    )
    found = Route((), None, None, None, (), left, (plain,))
    assert found.left == 3 + 1 + 1
    assert Route((), None, None, None, (), (), (plain,)).left == 0
