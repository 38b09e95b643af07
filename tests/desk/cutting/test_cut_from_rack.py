"""Lengths against the rack: what is booked adds up, all of a touch or none of it, and of two people one wins."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest

from steadyrest.desk.cutting import cut_from_rack as desk
from steadyrest.desk.pieces import piece_in, rack
from steadyrest.desk.pieces.piece_in import New
from steadyrest.desk.place import open_place
from steadyrest.trouble import BadInput
from tests.web.workshop import NOW

BAR = New("square", ("60",), "3000", "C45", "rack 9", "ines", condition="hot rolled", heat_number="H9", cost="60.00")
KEY = "square 60, C45, hot rolled"


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    opened = open_place(tmp_path_factory.mktemp("cut") / "data", None)
    for label, long in (("A1", "3000"), ("A2", "1500"), ("A3", "800")):
        new = replace(BAR, label=label, length=long)
        piece_in.come(opened.store, opened.said.shop, new, unit="mm", now=NOW)
    theirs = replace(BAR, label="A4", owner="the ferry office")
    piece_in.come(opened.store, opened.said.shop, theirs, unit="mm", now=NOW)
    yield opened
    opened.close()


def listed(place, lines, key=KEY, **more):
    made = desk.listed(
        place.store, place.said.shop, desk.Asked(key, lines, **more), stop=lambda: False, clock_s=lambda: 0.0
    )
    desk.keep_list(place.store, made, who="ines", now=NOW)
    return made


def there(place):
    return {one.piece.label: one.piece for one in rack.pieces(place.store, place.said.shop)}


def book(place, one, labels, **more):
    return desk.book(place.store, place.said.shop, one, labels, who="ines", job=None, now=NOW, **more)


def test_a_list_is_read_back_as_it_was_made(place) -> None:
    one = listed(place, "2 x 140 foot")
    assert desk.kept_list(place.store, one.key) == one
    assert desk.latest(place.store)[0].key == one.key


def test_a_customers_own_piece_is_in_no_list(place) -> None:
    found = next(one for one in desk.bars(rack.pieces(place.store, place.said.shop)) if one.key == KEY)
    assert {one.piece.label for one in found.pieces} == {"A1", "A2", "A3"}


def test_of_two_lists_that_want_one_piece_one_is_booked_and_of_the_other_nothing(place) -> None:
    lists = [listed(place, "3 x 900 rail\n2 x 140 foot", kerf="2") for _ in range(2)]
    before = there(place)

    def press(one):
        try:
            return book(place, one, one.open)
        except BadInput as told:
            return told.line()

    with ThreadPoolExecutor(2) as pool:
        done = list(pool.map(press, lists))
    told = [one for one in done if isinstance(one, str)]
    won = [one for one in done if not isinstance(one, str)]
    assert (len(won), len(told)) == (1, 1)
    assert "is not as you saw it: cut, Ines" in told[0] or "is gone" in told[0]
    after, turns = there(place), dict(won[0].seen)
    for sawn in won[0].answer.sawing.bars:
        label, bar = sawn.bar.piece.id, sawn.bar
        parts_mm = float(sum(part.length_mm for part in bar.parts))
        left_mm = after[label].length_mm if label in after else 0.0
        rest_mm = float(bar.rest_mm) if bar.kept else 0.0
        assert left_mm == pytest.approx(rest_mm)
        assert before[label].length_mm == pytest.approx(parts_mm + 2.0 * len(bar.parts) + float(bar.rest_mm))
        if label in after:
            assert after[label].turn == turns[label] + 1
            assert after[label].heat_number == "H9"
    assert won[0].open == ()


def test_one_touch_sent_twice_counts_once_and_a_stale_piece_stops_the_whole_of_it(place) -> None:
    new = replace(BAR, size=("61",), length="2000")
    for label in ("B1", "B2"):
        piece_in.come(place.store, place.said.shop, replace(new, label=label), unit="mm", now=NOW)
    key = "square 61, C45, hot rolled"
    one = listed(place, "2 x 1500", key=key)
    assert sorted(one.open) == ["B1", "B2"]
    for _ in range(2):
        book(place, one, ["B1"], touch="cut-once-1")
    turns = {label: piece.turn for label, piece in there(place).items()}
    assert turns["B1"] == one.seen["B1"] + 1
    with pytest.raises(BadInput, match="is not as you saw it"):
        book(place, one, ["B2", "B1"], touch="cut-both-2")
    assert {label: piece.turn for label, piece in there(place).items()} == turns


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        ("", "0 lines"),
        ("0 x 20 leg", "says no part"),
        ("3 x -20 leg", "line 1"),
        ("3 x 0 leg", "is no length"),
        ("3 x leg", "line 1"),
        ("leg 3", "says no part"),
        ("3 x 20 leg\n4 x 30 leg", "line 2: leg stands in line 1 already"),
        ("3 x 20 leg 80/0", "steeper than a saw swings"),
        ("3 x 40 leg 60/-60", "they meet"),
        ("3 x 20 leg due friday", "is no day"),
        ("20001 x 2 leg", "more than 20000 parts"),
        ("\n".join(f"1 x {n}" for n in range(1, 402)), "401 lines"),
    ],
)
def test_a_line_that_says_no_part_is_named(place, lines, says) -> None:
    with pytest.raises(BadInput) as told:
        listed(place, lines)
    assert says in told.value.line()


def test_a_part_longer_than_every_bar_is_named_and_the_rest_is_cut(place) -> None:
    one = listed(place, "1 x 9000 mast\n1 x 100 foot\n1 x 2in pad")
    assert [each.part.id for each in one.answer.plan.unplaced] == ["mast"]
    cut = {part.id: float(part.length_mm) for bar in one.answer.plan.bars for part in bar.parts}
    assert cut == {"foot": 100.0, "pad": pytest.approx(50.8)}
