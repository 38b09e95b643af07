"""A job of several parts: one plan on the week, one price, a no that names its part, and lists that are one line."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from steadyrest.cli.joined_words import job_answer, job_words
from steadyrest.cli.main import status
from steadyrest.desk.floor.measuring import TypedReading, record, write_reading
from steadyrest.desk.place import open_place
from steadyrest.desk.plan import issue_paper, keeping, plan_job, plan_part
from steadyrest.desk.plan.joined_lot import Listed, LotAsked, lot_of
from steadyrest.desk.plan.plan_part import PlanAnswer
from steadyrest.desk.which_shop import ShopSaid, which_shop
from steadyrest.promise.answer import HOLDS
from steadyrest.shop.parts_list import BoughtPart, Fitting, ListedPart, PartsList
from steadyrest.store.values import from_json, to_json
from steadyrest.web import show
from steadyrest.web.showing import job_page
from tests.web import workshop

NOW = datetime.fromisoformat("2026-11-27T12:10:00+01:00")
DUE = NOW + timedelta(days=40)
ASKED = PartsList(
    name="winch", customer="", due=DUE, quantity=1,
    made=(ListedPart("P1", "shaft.step", "C45", 1), ListedPart("P2", "shaft.step", "C45", 2)),
    bought=(BoughtPart("B1", "bearing", 2, Decimal("8.40"), 10, "the bearing house", delay_odds=0.0),),
    fittings=(Fitting("A1", ("P1", "B1"), "press fit", 1, trial=False),
              Fitting("A2", ("A1", "P2"), "bolted", 1, trial=False, after=("A1",))),
    site=None,
)  # fmt: skip


def quiet_shop() -> ShopSaid:
    """The example shop with nothing promised: only the job itself is looked at."""
    said = which_shop(None, None)
    return replace(said, shop=replace(said.shop, promised=()))


def listed(said: ShopSaid, asked: PartsList = ASKED) -> tuple[Listed, ...]:
    metal = plan_part.metal_of("C45", said.shop)
    return tuple(Listed(row, workshop.shaft(), metal) for row in asked.made)


def planned(said: ShopSaid, asked: PartsList, parts: tuple[Listed, ...]) -> PlanAnswer:
    return plan_job.plan_job(
        asked, parts, said=said, due=DUE, now=NOW, seed=1, progress=lambda _what, _share: None, stop=lambda: False
    )


@pytest.fixture(scope="module")
def answer() -> PlanAnswer:
    said = quiet_shop()
    return planned(said, ASKED, listed(said))


def test_the_whole_job_is_one_plan_in_which_an_assembly_waits_for_its_parts_and_its_bearing(answer: PlanAnswer) -> None:
    assert answer.best is not None
    assert answer.best.promise is not None
    rows = [row for row in answer.best.promise.plan if row.new]
    begin = {row.step: min(r.start for r in rows if r.step == row.step) for row in rows}
    end = {row.step: max(r.end for r in rows if r.step == row.step) for row in rows}
    assert {row.job for row in rows} == {plan_job.JOB}
    assert begin["A1"] >= max(time for step, time in end.items() if step.startswith("P1"))
    assert begin["A2"] >= max(time for step, time in end.items() if step.startswith("P2"))
    assert begin["A2"] >= end["A1"]
    assert begin["deliver"] >= max(time for step, time in end.items() if step != "deliver")
    assert answer.best.promise.arrival is not None
    assert begin["A1"] >= answer.best.promise.arrival
    assert (begin["A1"] - NOW).days >= 13  # ten working days
    assert answer.best.promise.odds.value >= HOLDS


def test_its_price_has_every_part_once_and_its_breaks_are_for_the_whole_job(answer: PlanAnswer) -> None:
    assert answer.best is not None
    price = answer.best.price
    assert price is not None
    assert sum(line.amount.amount for line in price.lines) == price.offer.amount
    bought = [line for line in price.cash if line.what.key == "joined.bought"]
    assert [line.amount.amount for line in bought] == [Decimal("16.80")]
    assert [one.quantity for one in price.breaks] == [1, 2, 5, 10]
    each = [one.each.amount for one in price.breaks]
    assert each == sorted(each, reverse=True)


def test_the_document_has_the_contract_s_keys_for_the_whole_and_each_part_beside(answer: PlanAnswer) -> None:
    document = job_answer(answer)
    assert {"take", "routes", "chosen", "price", "promise", "measure", "handling", "seed", "parts"} <= set(document)
    parts = document["parts"]
    assert isinstance(parts, list)
    assert [(one["id"], one["quantity"]) for one in parts] == [("P1", 1), ("P2", 2)]
    assert all(one["route"]["steps"] and not one["cannot"] for one in parts)
    measures = document["measure"]
    assert isinstance(measures, list)
    assert {str(one["feature"]).split(" ", 1)[0] for one in measures} == {"P1", "P2"}
    assert "P2, from" in job_words(answer)


def test_a_kept_job_of_several_parts_is_read_back_as_it_was(answer: PlanAnswer) -> None:
    again = from_json(to_json(answer), PlanAnswer, where="plan")
    assert to_json(again) == to_json(answer)
    assert job_answer(again) == job_answer(answer)


@pytest.fixture(scope="module")
def no() -> PlanAnswer:
    said = quiet_shop()
    good, other = listed(said)
    return planned(said, ASKED, (good, replace(other, part=workshop.too_large())))


def test_a_part_that_cannot_be_made_is_a_no_that_names_it_and_the_way_out(no: PlanAnswer) -> None:
    assert no.take.answer == "no"
    assert dict(no.take.why[0].given) == {"part": "P2"}
    assert no.take.nearest_yes is not None
    assert dict(no.take.nearest_yes.given) == {"parts": "P2"}
    assert no.chosen is None
    assert not no.routes[0].route.steps
    assert no.routes[0].route.cannot
    document = job_answer(no)
    assert document["parts"][0]["route"] is not None  # type: ignore[index]
    assert document["parts"][1]["route"] is None  # type: ignore[index]


def test_the_page_lists_each_part_with_its_steps_and_then_how_they_go_together(
    answer: PlanAnswer, no: PlanAnswer, tmp_path: Path
) -> None:
    place = open_place(tmp_path / "data", None)
    try:
        yes, never = (
            keeping.keep_in(place.store, one, name="job.toml", data=b"x", now=NOW, besides=(("a.step", b"y"),))
            for one in (answer, no)
        )
        kept = keeping.kept_job(place.store, yes)
        text = page_of(kept)
        words = ("P1: 1 ×", "P2: 2 ×", "B1: 2 ×", "Put together", "The whole job goes out")
        places = [text.index(word) for word in words]
        assert places == sorted(places)
        assert issue_paper.job_paper(kept, made=NOW).startswith(b"%PDF")
        assert issue_paper.measuring_paper(kept, made=NOW).startswith(b"%PDF")
        refused = page_of(keeping.kept_job(place.store, never))
        assert "Do not take it" in refused
        assert "Not on this floor" in refused
        reading = TypedReading("P2 S2", "diameter_mm", "29.991", piece="2")
        assert write_reading(place.store, yes, reading, place.said.shop, now=NOW).state == "right"
        second = record(place.store, yes, 2, place.said.shop, now=NOW)
        assert {one.measure.feature.split(" ")[0] for one in second.sizes} == {"P2"}  # there is but one P1
    finally:
        place.close()


def page_of(kept: keeping.KeptJob) -> str:
    return bytes(show.page("job.html", job_page.page(kept, None, token="t")).body).decode()


def test_no_two_parts_take_the_same_length_of_a_bar() -> None:
    said = quiet_shop()
    lot = lot_of(LotAsked(ASKED, listed(said), said.shop, 1, False, "job"))
    (_, first), (_, second) = lot.routes
    if first.piece is not None and first.piece == second.piece:
        whole = next(piece.length_mm for piece in said.shop.pieces if piece.id == first.piece)
        assert first.rest_mm is not None
        assert second.rest_mm is not None
        assert second.rest_mm < first.rest_mm < whole
        rack = [line for line in lot.cash if line.what.key == "price.rack_piece"]
        assert len(rack) == 2
    else:
        assert first.piece is not None or second.piece is not None


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('[[part]]\nid = "P1"\nfile = "nowhere.step"\nmaterial = "C45"\n', "nowhere.step"),
        ('[[part]]\nid = "P1"\nfile = "x.stl"\nmaterial = "moonrock"\n', "moonrock"),
        ('[[part]]\nid = "B"\nmade_here = false\nprice = "1"\nlead_days = 1\n', "nothing on the list is made here"),
        ('[[part]]\nid = "P1"\nfile = "x.stl"\nmaterial = "C45"\nquantity = 0\n', "out of range"),
        ("[[part]]\nid = ", "not TOML"),
    ],
)
def test_a_list_at_fault_is_exit_2_with_one_line(
    text: str, told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "job.toml"
    file.write_text(text, encoding="utf-8")
    code = status(["plan", str(file), "--due", DUE.isoformat(), "--now", NOW.isoformat(), "--json"])
    out, err = capsys.readouterr()
    assert (code, out) == (2, "")
    assert told in err
    assert err.count("\n") == 1


def test_a_list_that_is_not_there_or_says_no_due_time_is_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert status(["plan", str(tmp_path / "none.toml"), "--now", NOW.isoformat()]) == 2
    (tmp_path / "job.toml").write_text('[[part]]\nid = "P1"\nfile = "x.stl"\nmaterial = "C45"\n', encoding="utf-8")
    assert status(["plan", str(tmp_path / "job.toml"), "--now", NOW.isoformat()]) == 2
    assert "by when" in capsys.readouterr().err


STL = "solid x\n" + "".join(
    f"facet normal 0 0 0\nouter loop\n{''.join(f'vertex {a} {b} {c}{chr(10)}' for a, b, c in face)}endloop\nendfacet\n"
    for face in (
        ((0, 0, 0), (0, 30, 0), (40, 0, 0)), ((0, 0, 0), (40, 0, 0), (0, 0, 20)), ((0, 0, 0), (0, 0, 20), (0, 30, 0)),
        ((40, 0, 0), (0, 30, 0), (0, 0, 20)),
    )
) + "endsolid x\n"  # fmt: skip


def test_a_part_whose_file_names_no_unit_is_asked_about_and_not_guessed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "wedge.stl").write_text(STL, encoding="utf-8")
    file = tmp_path / "job.toml"
    file.write_text('[[part]]\nid = "P1"\nfile = "wedge.stl"\nmaterial = "C45"\n', encoding="utf-8")
    assert status(["plan", str(file), "--due", DUE.isoformat(), "--now", NOW.isoformat()]) == 2
    err = capsys.readouterr().err
    assert "part P1" in err
    assert "does not say its unit" in err
