"""Today's page: what was taken is bought, comes, is made and leaves."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from steadyrest.desk.place import open_place
from steadyrest.desk.standing import as_it_stands
from steadyrest.web.app import make_app
from tests.web import workshop
from tests.web.conftest import Open


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Open]:
    place = open_place(tmp_path_factory.mktemp("today") / "data", None)
    goes = workshop.planned(place, workshop.shaft(), "winch <shaft>", due=workshop.NOW + timedelta(days=12))
    made = make_app(place, clock=lambda: workshop.NOW, hosts=workshop.HOSTS)
    with TestClient(made, raise_server_exceptions=False, follow_redirects=False) as client:
        yield Open(client, goes, 0, made.state.house.token.value, place.store.folder)
    place.close()


def says(own: Open, address: str, **words: str):
    return own.client.post(address, data={"guard": own.guard, **words})


def not_before(own: Open):
    place = open_place(own.folder, None)
    try:
        shop = as_it_stands(place.said, place.store, now=workshop.NOW).shop
    finally:
        place.close()
    return next(work.not_before for work in shop.promised if work.id == str(own.goes))


def test_what_a_job_needs_is_bought_once_and_the_week_knows_when_it_is_here(own: Open) -> None:
    page = own.client.get("/today")
    assert page.status_code == 200
    assert "To buy" not in page.text
    says(own, f"/jobs/{own.goes}/answer", answer="yes")
    page = own.client.get("/today").text
    assert "Order by" in page
    assert not_before(own) is not None
    for _ in range(2):
        assert says(own, f"/jobs/{own.goes}/bought", said="ordered", touch="one-touch-order").status_code == 303
    page = own.client.get("/today").text
    assert "Order by" not in page
    assert "Likely here" in page
    assert not_before(own) is not None
    assert says(own, f"/jobs/{own.goes}/bought", said="ordered").status_code == 422
    assert says(own, f"/jobs/{own.goes}/bought", said="arrived").status_code == 303
    assert "On its way" not in own.client.get("/today").text
    assert not_before(own) is None
    assert says(own, f"/jobs/{own.goes}/bought", said="arrived").status_code == 422


def test_everybody_is_told_what_comes_next(own: Open) -> None:
    page = own.client.get("/today").text
    for name in ("Ambra", "Ines", "Jorun"):
        assert name in page
    assert "On nothing" in page


def test_what_is_ready_leaves_today_until_it_is_delivered(own: Open) -> None:
    says(own, f"/jobs/{own.goes}/answer", answer="yes")
    says(own, f"/jobs/{own.goes}/answer", answer="ready")
    page = own.client.get("/today").text
    assert "ready to go" in page
    assert "winch &lt;shaft&gt;" in page
    says(own, f"/jobs/{own.goes}/answer", answer="delivered")
    assert "ready to go" not in own.client.get("/today").text


@pytest.mark.parametrize("said", ["", "lost", "ordered"])
def test_what_cannot_be_said_of_the_buying_is_refused(own: Open, said: str) -> None:
    assert says(own, f"/jobs/{own.goes}/bought", said=said).status_code == 422
    assert says(own, "/jobs/99999/bought", said="ordered").status_code == 404
