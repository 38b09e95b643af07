"""Measuring: a reading is decided, kept once, corrected by an entry; what is wrong gets a decision."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.desk.floor import measuring, measuring_report
from steadyrest.desk.floor.measuring import TypedDecision, TypedReading
from steadyrest.desk.place import Place, open_place
from steadyrest.shop.floor import Shop
from steadyrest.store import ledger
from steadyrest.trouble import BadInput
from tests.web import workshop

NOW = workshop.NOW
SEAT = TypedReading("S2", "diameter_mm", "29.991")


@pytest.fixture(scope="module")
def shop_place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Place, int]]:
    place = open_place(tmp_path_factory.mktemp("measuring") / "data", None)
    yield place, workshop.planned(place, workshop.shaft(), "winch shaft")
    place.close()


def count(place: Place, number: int) -> int:
    kept = measuring.record(place.store, number, 1, place.said.shop, now=NOW).kept
    with place.store.reading() as session:
        return sum(one.kind == "measured" for one in ledger.entries(session, kept.job.id))


def told(place: Place, number: int, typed: TypedReading, shop: Shop | None = None) -> measuring.ToMeasure:
    return measuring.write_reading(place.store, number, typed, shop or place.said.shop, now=NOW)


def test_a_touch_sent_twice_counts_once(shop_place: tuple[Place, int]) -> None:
    place, number = shop_place
    before = count(place, number)
    sent = replace(SEAT, piece="7", touch="a-touch-of-its-own")
    assert told(place, number, sent) == told(place, number, sent)
    assert count(place, number) == before + 1


def test_a_correction_is_an_entry_and_the_first_reading_stays_in_the_ledger(shop_place: tuple[Place, int]) -> None:
    place, number = shop_place
    wrong = told(place, number, replace(SEAT, piece="8", readings="30.05"))
    assert wrong.state == "wrong"
    before = count(place, number)
    again = told(place, number, replace(SEAT, piece="8", replaces=int(wrong.kept[-1].entry)))
    assert again.state == "right"
    assert [one.replaces for one in again.kept] == [wrong.kept[-1].entry]
    assert count(place, number) == before + 1
    with pytest.raises(BadInput, match="is no reading of this size"):
        told(place, number, replace(SEAT, piece="9", replaces=int(wrong.kept[-1].entry)))


def test_a_reading_told_later_is_kept_with_both_moments_and_judged_by_the_gauge_as_it_was_then(
    shop_place: tuple[Place, int],
) -> None:
    place, number = shop_place
    shop = place.said.shop
    due = NOW - timedelta(hours=1)
    late = replace(shop, gauges=tuple(replace(g, due=due) if g.id == "micrometer_50" else g for g in shop.gauges))
    at = NOW - timedelta(hours=3)
    found = told(place, number, replace(SEAT, piece="15", gauge="micrometer_50", at=at), late)
    assert (found.kept[-1].happened, found.kept[-1].told) == (at, NOW)
    assert found.state == "right"
    with pytest.raises(BadInput, match="after it was told"):
        told(place, number, replace(SEAT, piece="15", at=NOW + timedelta(minutes=1)))


def test_what_is_wrong_gets_a_decision_and_a_new_reading_opens_it_again(shop_place: tuple[Place, int]) -> None:
    place, number = shop_place
    shop = place.said.shop
    told(place, number, replace(SEAT, piece="10", readings="30.02"))
    said = TypedDecision("S2", "diameter_mm", "10", "rework", "polish", who="ambra")
    assert measuring.write_decision(place.store, number, said, shop, now=NOW).state == "rework"
    assert told(place, number, replace(SEAT, piece="10")).state == "right"
    with pytest.raises(BadInput, match="nothing to decide"):
        measuring.write_decision(place.store, number, said, shop, now=NOW)
    with pytest.raises(BadInput, match="not measured yet"):
        measuring.write_decision(place.store, number, replace(said, piece="11"), shop, now=NOW)
    with pytest.raises(BadInput, match="no decision"):
        measuring.write_decision(place.store, number, replace(said, becomes="scrap"), shop, now=NOW)


def test_an_overdue_gauge_is_kept_and_decides_nothing(shop_place: tuple[Place, int]) -> None:
    place, number = shop_place
    shop = place.said.shop
    late = replace(
        shop, gauges=tuple(replace(g, due=NOW - timedelta(days=2)) if "micro" in g.id else g for g in shop.gauges)
    )
    found = told(place, number, replace(SEAT, piece="12", gauge="micrometer_50"), late)
    assert found.state == "undecided"
    assert "micrometer_50" in {gauge.id for gauge in found.overdue}
    assert "micrometer_50" not in {gauge.id for gauge in found.gauges}


def test_a_piece_is_right_only_when_every_limit_of_its_own_is_proved(shop_place: tuple[Place, int]) -> None:
    place, number = shop_place
    shop = place.said.shop
    assert measuring.record(place.store, number, 13, shop, now=NOW).state == "open"
    told(place, number, replace(SEAT, piece="13"))
    assert measuring.record(place.store, number, 13, shop, now=NOW).state == "right"
    told(place, number, replace(SEAT, piece="13", readings="29.981"))  # the last reading counts
    assert measuring.record(place.store, number, 13, shop, now=NOW).state == "undecided"
    lot = measuring.records(place.store, number, shop, now=NOW)
    assert "not measured" in measuring_report.lot_stands(lot)
    assert sum(int(part.split()[0]) for part in measuring_report.lot_stands(lot).split(", ")) == lot[0].pieces


def test_the_report_is_a_pdf_of_what_was_measured(shop_place: tuple[Place, int], tmp_path: Path) -> None:
    place, number = shop_place
    told(place, number, replace(SEAT, piece="14", readings="29.9912; 29.9908", part_c="24"))
    pdf = measuring_report.report(place.store, number, place.said.shop, made=NOW)
    assert pdf.startswith(b"%PDF")


@settings(deadline=None, max_examples=60)
@given(
    text=st.one_of(st.text(max_size=30), st.from_regex(r"[0-9]{1,3}[.,;][0-9 ;]{1,12}", fullmatch=True)),
    gauge=st.one_of(st.just(""), st.text(max_size=8)), warm=st.one_of(st.just(""), st.text(max_size=6)),
    piece=st.one_of(st.just("1"), st.text(max_size=5)),
)  # fmt: skip
def test_whatever_is_typed_is_a_reading_or_one_clear_line(
    shop_place: tuple[Place, int], text: str, gauge: str, warm: str, piece: str
) -> None:
    place, number = shop_place
    stands = measuring.record(place.store, number, 1, place.said.shop, now=NOW).sizes[0]
    typed = replace(SEAT, readings=text, gauge=gauge, part_c=warm, piece=piece)
    line, read = "", tuple[float, ...]()
    try:
        measuring.piece_of(piece)
        read = measuring.read(typed, stands, place.said.shop, 1e-5).readings_mm
    except BadInput as bad:
        line = bad.line()
    assert "\n" not in line
    assert all(abs(mm - 30.0) <= 3.0 for mm in read)
    assert bool(line) != bool(read)
