"""The week's page: a job taken stands in it, and a change is tried without making it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from steadyrest.desk.night.leave import ShopText, leave_bytes
from steadyrest.desk.night.step_program import Said, say_program
from steadyrest.desk.place import Place, open_place
from steadyrest.desk.plan import keeping
from steadyrest.desk.standing import as_it_stands
from steadyrest.desk.which_shop import example_text
from steadyrest.trouble import BadInput
from steadyrest.web.app import make_app
from tests.web import workshop
from tests.web.conftest import Open


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Open]:
    """A folder of its own: what is taken here stays here."""
    place = open_place(tmp_path_factory.mktemp("week") / "data", None)
    goes = workshop.planned(place, workshop.shaft(), "winch <shaft>", due=workshop.NOW + timedelta(days=5))
    made = make_app(place, clock=lambda: workshop.NOW, hosts=workshop.HOSTS)
    with TestClient(made, raise_server_exceptions=False, follow_redirects=False) as client:
        yield Open(client, goes, 0, made.state.house.token.value, place.store.folder)
    place.close()


def says(own: Open, address: str, **words: str):
    return own.client.post(address, data={"guard": own.guard, **words})


def test_a_job_stands_in_the_week_once_it_is_taken_and_not_before(own: Open) -> None:
    assert "winch" not in own.client.get("/week").text
    page = own.client.get(f"/jobs/{own.goes}").text
    assert "Nothing is answered yet." in page
    assert "We take it" in page
    assert "A yes now is too late for Wed 2 Dec" in page
    assert "A yes costs the promises already given nothing" in page
    for _ in range(2):  # the same touch twice counts once
        agreed = {"by": "2026-12-07T12:00", "price": "1234,50"}
        took = says(own, f"/jobs/{own.goes}/answer", answer="yes", touch="touch-of-this-page-1", **agreed)
        assert took.status_code == 303
    assert "Taken: it stands in the week." in own.client.get(f"/jobs/{own.goes}").text
    page = own.client.get("/week").text
    assert "winch &lt;shaft&gt;" in page
    assert "Mon 7 Dec, 12:00" in page


def test_the_next_plan_sees_what_was_taken_and_its_own_replan_does_not(own: Open) -> None:
    says(own, f"/jobs/{own.goes}/answer", answer="yes")
    place = open_place(own.folder, None)
    try:
        taken = as_it_stands(place.said, place.store, now=workshop.NOW).shop
        anew = as_it_stands(place.said, place.store, now=workshop.NOW, but=own.goes).shop
    finally:
        place.close()
    assert str(own.goes) in {work.id for work in taken.promised}
    assert str(own.goes) not in {work.id for work in anew.promised}


def test_a_machine_that_stands_is_supposed_with_odds_before_and_after_and_nothing_is_kept(own: Open) -> None:
    says(own, f"/jobs/{own.goes}/answer", answer="yes")
    before = own.client.get("/week").text
    begin, end = "2026-11-27T13:00", "2026-12-01T13:00"
    answer = says(own, "/week", machine="lathe", **{"from": begin, "to": end})
    assert answer.status_code == 200
    assert "stands" in answer.text
    assert "If nothing else is done" in answer.text
    assert "Late on average" in answer.text
    assert own.client.get("/week").text == before


@pytest.mark.parametrize("words", [{"words": "turn around"}, {"person": "ines", "does": "in", "from": "", "to": ""}])
def test_a_change_that_cannot_be_meant_is_said_in_the_form(own: Open, words: dict[str, str]) -> None:
    answer = says(own, "/week", **words)
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text


def test_a_form_of_another_page_is_refused(own: Open) -> None:
    assert own.client.post("/week", data={"job": "1"}).status_code == 403
    assert own.client.post(f"/jobs/{own.goes}/answer", data={"answer": "yes"}).status_code == 403


def test_the_night_sheet_is_drawn_for_each_look(own: Open) -> None:
    for look in ("wide", "wide-dark", "narrow", "narrow-dark"):
        drawn = own.client.get(f"/week/night/{look}.svg")
        assert drawn.headers["content-type"] == "image/svg+xml"
        assert drawn.text.startswith("<svg")
    assert own.client.get("/week/night/other.svg").status_code == 404


def test_a_job_lost_leaves_the_week_with_its_reason_kept(own: Open) -> None:
    assert says(own, f"/jobs/{own.goes}/answer", answer="no", why="none of the list").status_code == 422
    assert says(own, f"/jobs/{own.goes}/answer", answer="no", why="price", said="=too dear").status_code == 303
    assert "Not taken." in own.client.get(f"/jobs/{own.goes}").text
    assert "winch" not in own.client.get("/week").text


@pytest.mark.parametrize("agreed", [{"by": "2020-01-01T12:00"}, {"price": "much"}, {"price": "-3"}, {"price": "1e400"}])
def test_what_cannot_be_agreed_is_refused(own: Open, agreed: dict[str, str]) -> None:
    assert says(own, f"/jobs/{own.goes}/answer", answer="yes", **agreed).status_code == 422


def test_a_job_that_is_not_there_is_said_so(own: Open) -> None:
    assert says(own, "/jobs/99999/answer", answer="yes").status_code == 404


def test_the_week_is_a_calendar_for_everybody_for_each_and_for_the_night(own: Open) -> None:
    says(own, f"/jobs/{own.goes}/answer", answer="yes")
    page = own.client.get("/week").text
    found = {}
    for address in ("/week.ics", "/week/of/ines.ics", "/week/of/night.ics"):
        assert f'href="{address}"' in page
        answer = own.client.get(address)
        assert answer.status_code == 200
        assert answer.headers["content-type"] == "text/calendar; charset=utf-8"
        found[address] = answer.text
    assert f"SUMMARY:{own.goes} winch <shaft>: due" in found["/week.ics"]
    mine = found["/week/of/ines.ics"].count("BEGIN:VEVENT")
    assert 0 < mine < found["/week.ics"].count("BEGIN:VEVENT")
    assert own.client.get("/week/of/nobody-of-that-name.ics").status_code == 404


def test_a_step_counts_with_its_program_once_that_was_checked_and_the_week_says_so(own: Open) -> None:
    says(own, f"/jobs/{own.goes}/answer", answer="yes")
    place = open_place(own.folder, None)
    try:
        text = ShopText(example_text(), "the example shop", example=True)
        source = b"%\nG21\nG99\nG28 U0 W0\nT0101\nG97 S600 M3\nG0 X60 Z5\nG1 Z-300 F0.02\nG0 X80\nG28 U0 W0\nM30\n%\n"
        answer = leave_bytes(source, "shaft.nc", machine="lathe", shop=text, progress=lambda *_: None,
                             stop=lambda: False)  # fmt: skip
        kept = keeping.kept_job(place.store, own.goes)
        assert kept.answer.best is not None
        steps = kept.answer.best.route.steps
        turned = next(one for one in steps if one.machine == "lathe")
        before = work_s(place, own.goes)
        for wrong in (Said(own.goes, "no such step"), Said(10**6, turned.id), Said(own.goes, turned.id, parts=0),
                      Said(own.goes, next(one.id for one in steps if one.machine != "lathe"))):  # fmt: skip
            with pytest.raises(BadInput):
                say_program(place.store, wrong, answer, who="ines", now=workshop.NOW)
        timed = say_program(place.store, Said(own.goes, turned.id), answer, who="ines", now=workshop.NOW)
        after = work_s(place, own.goes)
    finally:
        place.close()
    assert timed.was_s is not None
    # By hand: 305 mm at 0.02 mm a turn and 600 turns a minute; getting there comes to it.
    assert timed.program.run_s > 305 / 0.02 / 600 * 60
    # The first part runs by its own factor longer.
    factor = dict(turned.split[-1].why[0].given)["factor"]
    assert isinstance(factor, float)
    others = kept.answer.quantity - 1
    assert after - before == pytest.approx((timed.program.run_s - timed.was_s) * (factor + others), rel=1e-6)
    page = own.client.get("/week").text
    assert "a part by its program shaft.nc" in page
    assert "was the estimate" in page


def work_s(place: Place, job: int) -> float:
    """All the work that is left of a job, s."""
    shop = as_it_stands(place.said, place.store, now=workshop.NOW).shop
    (work,) = (one for one in shop.promised if one.id == str(job))
    return sum(phase.duration_s for phase in work.phases)
