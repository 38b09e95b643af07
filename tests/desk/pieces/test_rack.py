"""The rack: nothing is lost, a piece cut twice at one moment is cut once, and what is planned on is what is there."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadyrest.desk import standing
from steadyrest.desk.accounts.work_record import work_record
from steadyrest.desk.pieces import piece_in, piece_moves, rack, stocktake
from steadyrest.desk.pieces.left_out import why_not
from steadyrest.desk.pieces.piece_in import New
from steadyrest.desk.pieces.piece_moves import Cut
from steadyrest.desk.place import open_place
from steadyrest.store import backup, jobs
from steadyrest.trouble import BadInput
from tests.oracles.cut_book import CutBook
from tests.web.workshop import NOW

BAR = New("round", ("40",), "3000", "C45", "rack 2", "ines", condition="hot rolled", heat_number="4711", cost="60.00")


@pytest.fixture
def place(tmp_path):
    opened = open_place(tmp_path / "data", None)
    yield opened
    opened.close()


def come(opened, new=BAR, **more):
    from dataclasses import replace

    return piece_in.come(opened.store, opened.said.shop, replace(new, **more), unit="mm", now=NOW)


def cut(place, label, **more):
    return piece_moves.cut(place.store, place.said.shop, Cut(label, "ines", **more), unit="mm", now=NOW)


def planned_on(place):
    return {one.id: one for one in standing.as_it_stands(place.said, place.store, now=NOW).shop.pieces}


def test_pieces_and_kerfs_and_rests_add_up_to_the_bar_as_a_dict_says(place):
    from tempfile import TemporaryDirectory

    del place

    @settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
    @given(
        acts=st.lists(
            st.tuples(st.integers(1, 3), st.integers(1, 900), st.integers(0, 5), st.sampled_from((None, 1, 2, 3))),
            max_size=7,
        )
    )
    def run(acts):
        with TemporaryDirectory() as folder:
            from pathlib import Path

            opened, book = open_place(Path(folder) / "d", None), CutBook()
            try:
                for n, long in ((1, 1000), (2, 1500)):
                    come(opened, label=f"P{n}", length=str(long))
                    book.come(f"P{n}", long)
                for n, take, kerf, seen in acts:
                    may = book.cut(f"P{n}", take, kerf, seen)
                    try:
                        cut(opened, f"P{n}", length=str(take), kerf=str(kerf) if kerf else "0.0000001", seen=seen)
                    except BadInput:
                        assert not may
                    else:
                        assert may
                here = {one.piece.label: one.piece for one in rack.pieces(opened.store, opened.said.shop) if one.book}
                assert {label: round(one.length_mm, 3) for label, one in here.items()} == book.left
                assert {one.heat_number for one in here.values()} <= {"4711"}
            finally:
                opened.close()

    run()


def test_of_two_who_cut_the_same_piece_at_one_moment_one_wins_and_the_other_is_told(place):
    come(place, label="P7", length="600")

    def try_it(who):
        try:
            asked = Cut("P7", who, length="400", seen=1)
            piece_moves.cut(place.store, place.said.shop, asked, unit="mm", now=NOW)
        except BadInput as told:
            return told.line()
        return "won"

    with ThreadPoolExecutor(2) as both:
        said = sorted(both.map(try_it, ("ines", "ambra")), key=len)
    assert said[0] == "won"
    assert "is not as you saw it: cut, " in said[1]
    assert "mm of it are left" in said[1]


def test_a_touch_sent_twice_cuts_once(place):
    come(place, label="P7")
    first = cut(place, "P7", length="100", touch="one-touch-of-a-form")
    assert cut(place, "P7", length="100", touch="one-touch-of-a-form").piece.turn == first.piece.turn == 2


def test_what_a_job_uses_is_charged_with_its_share_to_the_cent(place):
    with place.store.writing() as session:
        job = jobs.open_job(session, customer="the mill", what="pin", due=NOW, charging="hours", now=NOW)
    come(place, label="P7", length="1000", cost="10.00")
    left = cut(place, "P7", length="331", kerf="2", job=job.number)
    used = cut(place, "P7", whole=True, job=job.number)
    record = work_record(place.store, place.said, job.number, now=NOW)
    assert [one.much for day in record.days for one in day.spent] == [Decimal("3.33"), Decimal("6.67")]
    assert (left.piece.cost, used.piece.cost, used.piece.state) == (Decimal("6.67"), Decimal("0.00"), "gone")
    assert record.statement.goods == Decimal("10.00")


def test_a_plan_sees_the_books_pieces_and_the_files_that_the_book_does_not_know(place):
    come(place, label="P7")
    come(place, label="P8", owner="the ferry office")
    come(place, label="P9", shape="angle", size=("60", "40", "5"))
    before = planned_on(place)
    assert before["P7"].length_mm == 3000
    assert not {"P8", "P9"} & before.keys()
    assert {one.id for one in place.said.shop.pieces} <= before.keys()
    cut(place, "R4", length="300", kerf="2")  # a piece of the shop file is taken into the book as it is first cut
    cut(place, "P7", whole=True)
    after = planned_on(place)
    assert "P7" not in after
    assert after["R4"].length_mm == before["R4"].length_mm - 302
    assert after["R4"].heat_number == before["R4"].heat_number
    assert backup.verify(place.store.folder) == ()


def test_a_plate_that_is_no_rectangle_keeps_its_outline_and_is_not_cut_by_length(place):
    odd = next((one for one in place.said.shop.pieces if one.outline_mm), None)
    if odd is None:
        pytest.skip("the example shop has no such plate")
    with pytest.raises(BadInput, match="no whole rectangle any more"):
        cut(place, odd.id, length="10")
    piece_moves.change(place.store, place.said.shop, odd.id, "moved", {"place": "rack 9"}, who="ines", now=NOW)
    assert planned_on(place)[odd.id].outline_mm == odd.outline_mm


def test_a_count_says_what_agrees_and_sets_the_book_right_only_when_told(place):
    for label in ("P1", "P2", "P3"):
        come(place, label=label)
    come(place, label="P4", place="rack 5")
    seen = ["P1", "P2=2990", "P4", "stranger"]
    counted = {"who": "ines", "unit": "mm", "now": NOW}
    found = stocktake.count(place.store, place.said.shop, "rack 2", seen, write=False, **counted)
    assert (found.right, found.missing, found.unknown) == (("P1",), ("P3",), ("stranger",))
    assert (found.elsewhere, found.shorter) == ((("P4", "rack 5"),), (("P2", 3000.0, 2990.0),))
    assert stocktake.count(place.store, place.said.shop, "rack 2", seen, write=False, **counted) == found
    stocktake.count(place.store, place.said.shop, "rack 2", seen, write=True, **counted)
    again = stocktake.count(place.store, place.said.shop, "rack 2", seen, write=False, **counted)
    assert (again.right, again.missing, again.elsewhere, again.shorter) == (("P1", "P2", "P4"), (), (), ())
    assert "P3" not in planned_on(place)  # not found: nothing is planned on it until it turns up
    with pytest.raises(BadInput, match="was counted twice"):
        stocktake.count(place.store, place.said.shop, "rack 2", ["P1", "P1"], write=True, **counted)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"shape": "cone"}, "is no shape"),
        ({"size": ("0",)}, "no length"),
        ({"size": ("40", "3")}, "a round has 1 sizes"),
        ({"shape": "tube", "size": ("40", "20")}, "the wall is half the outside"),
        ({"shape": "angle", "size": ("40", "40", "40")}, "as much as a leg"),
        ({"length": "-3"}, "length"),
        ({"material": "cheese"}, "no metal that we know"),
        ({"label": "R1"}, "the shop file has a piece R1"),
        ({"label": "a/b"}, "is no label"),
        ({"cost": "1,234"}, "reads two ways"),
        ({"place": " "}, "where it lies"),
        ({"bad": "3000"}, "nothing would be left"),
        ({"who": "nobody"}, "does not work here"),
        ({"condition": "shiny"}, "is none"),
    ],
)
def test_a_piece_that_cannot_be_is_refused_and_nothing_is_written(place, wrong, said):
    with pytest.raises(BadInput, match=said):
        come(place, **wrong)
    assert not any(one.book for one in rack.pieces(place.store, place.said.shop))


def test_a_label_is_given_once(place):
    come(place, label="P7")
    with pytest.raises(BadInput, match="there is one of this label, or was"):
        come(place, label="P7")
    assert come(place).piece.label == "P2"


def test_a_certificate_kept_with_a_piece_is_in_its_story_and_comes_back_byte_for_byte(place):
    from steadyrest.desk.pieces.piece_papers import PieceFile, keep_paper, paper, papers

    come(place, label="P7")
    pdf = b"%PDF-1.7 heat 4711"
    one = PieceFile("P7", "certificate", pdf, "heat.pdf", "ines", number="C-12", touch="touch-paper-1")
    for _ in range(2):
        done = keep_paper(place.store, place.said.shop, one, now=NOW)
    assert done.piece.certificate == "C-12"
    told = rack.story(place.store, place.said.shop, "P7")
    [found] = papers(tuple(each for each, _ in told.movements))
    assert paper(place.store, "P7", found.sha256) == (pdf, "application/pdf")
    assert "its certificate kept, heat.pdf, Ines" in rack.told_words(*told.movements[-1], place.said.shop)
    cut(place, "P7", whole=True)
    with pytest.raises(BadInput, match="is gone"):
        keep_paper(place.store, place.said.shop, PieceFile("P7", "photo", b"\x89PNG\r\n\x1a\n", "", "ines"), now=NOW)


@pytest.mark.parametrize(("what", "data"), [("photo", b"%PDF-1.7"), ("certificate", b"<html>"), ("letter", b"%PDF-")])
def test_a_paper_that_is_none_is_refused_and_nothing_is_kept(place, what, data):
    from steadyrest.desk.pieces.piece_papers import PieceFile, keep_paper

    come(place, label="P7")
    with pytest.raises(BadInput):
        keep_paper(place.store, place.said.shop, PieceFile("P7", what, data, "x", "ines"), now=NOW)
    assert len(rack.story(place.store, place.said.shop, "P7").movements) == 1


def test_a_plate_that_is_no_rectangle_yields_only_what_lies_in_its_outline(place):
    from dataclasses import replace

    plate = come(place, label="P9", shape="plate", size=("100", "10"), length="100", material="C45")
    ell = ((0.0, 0.0), (100.0, 0.0), (100.0, 40.0), (40.0, 40.0), (40.0, 100.0), (0.0, 100.0))
    left = replace(plate.piece, outline_mm=ell)
    assert rack.yields_it(plate.piece, (10.0, 90.0, 90.0))
    assert not rack.yields_it(left, (10.0, 90.0, 90.0))
    assert rack.yields_it(left, (100.0, 8.0, 40.0))
    assert not rack.yields_it(left, (100.0, 12.0, 40.0))


@pytest.mark.parametrize(
    ("wanted", "says"),
    [
        ((41.0, 500.0), "1 mm too thin"),
        ((39.0, 3100.0), "100 mm too short"),
        ((41.0, 3100.0), "1 mm too thin and 100 mm too short"),
        ((40.0, 40.0, 100.0), "its diameter of 40 mm does not hold it across"),
        ((10.0, 10.0, 3001.0), "1 mm too short"),
    ],
)
def test_a_piece_left_out_says_how_much_it_lacks(place, wanted, says) -> None:
    piece = come(place).piece
    assert not rack.yields_it(piece, wanted)
    assert why_not(piece, wanted, "mm") == says
