"""The clock's page: one touch switches, a touch sent twice counts once, what is told wrong is said and nothing kept."""

from __future__ import annotations

import re
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from starlette.responses import Response

from steadyrest.desk.floor.clock import Offered, PersonNow
from steadyrest.desk.wall_time import wall_time
from steadyrest.trouble import BadInput
from steadyrest.web.showing import clock as showing
from tests.web.conftest import Open

PNG = b"\x89PNG\r\n\x1a\n" + bytes(40)


def send(app: Open, *, photo: bytes = b"", **words: object) -> Response:
    form = {name: str(value) for name, value in ({"guard": app.guard, "person": "jorun"} | words).items()}
    files = {"photo": ("photo.png", photo, "image/png")} if photo else None
    return app.client.post("/clock", data=form, files=files)


def text(app: Open, person: str = "jorun") -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", app.client.get(f"/clock?person={person}").text).split())


def test_one_touch_starts_another_switches_and_a_third_stops(app: Open) -> None:
    assert (
        send(app, what="start", job=app.goes, step=1, touch="touch-one-1").headers["location"] == "/clock?person=jorun"
    )
    assert f"Job {app.goes}, winch shaft" in text(app)
    send(app, what="start", job=app.no, touch="touch-two-1")
    assert f"Job {app.no}, column" in text(app)
    send(app, what="stop", touch="touch-three-1")
    assert "On nothing" in text(app)


def test_a_touch_sent_twice_counts_once(app: Open) -> None:
    for _ in range(3):
        assert send(app, what="note", words="said once only", touch="touch-of-a-note").status_code == 303
    listed = app.client.app.state.house.place.store  # type: ignore[attr-defined]
    with listed.reading() as session:
        from steadyrest.store import clock

        assert [one.words for one in clock.entries(session, person="jorun")].count("said once only") == 1


def test_a_photo_is_kept_by_content_and_anything_else_is_refused(app: Open) -> None:
    assert send(app, what="note", job=app.goes, photo=PNG, touch="touch-photo-1").status_code == 303
    refused = send(app, what="note", job=app.goes, photo=b"<script>", touch="touch-photo-2")
    assert refused.status_code == 422
    assert "this is no JPEG or PNG picture" in refused.text


@pytest.mark.parametrize(
    ("words", "status"),
    [
        ({"guard": "another"}, 403),
        ({"what": "start", "job": "999999"}, 422),
        ({"what": "start", "job": "<b>"}, 422),
        ({"what": "start", "person": "<script>"}, 422),
        ({"what": "fix", "entry": "1", "at": "25:99"}, 422),
        ({"what": "there", "entry": "77777"}, 422),
        ({"what": "note"}, 422),
        ({"what": ""}, 422),
        ({"what": "stop", "touch": "no mark of ours"}, 422),
        ({"what": "stop", "at": "2999-01-01T00:00"}, 422),
    ],
)
def test_what_cannot_be_meant_is_said_on_the_page(app: Open, words: dict[str, str], status: int) -> None:
    answer = send(app, **{"touch": "touch-wrong-1", **words})
    assert answer.status_code == status
    assert "<script>" not in answer.text.replace('<script src="/static/bundle.js" defer></script>', "")


def test_who_is_not_known_is_asked_who_they_are(app: Open) -> None:
    for person in ("", "nobody", "<b>"):
        page = app.client.get("/clock", params={"person": person})
        assert page.status_code == 200
        assert "Who are you?" in page.text


def test_a_time_on_the_wall_is_one_moment_or_is_asked_about() -> None:
    # zoneinfo: Vienna's clocks skip 02:00 to 03:00 on 28 March 2027 and show it twice on 25 October 2026.
    zone = ZoneInfo("Europe/Vienna")
    told = wall_time("2026-11-27T12:00", "Europe/Vienna", where="when")
    assert told == datetime(2026, 11, 27, 12, tzinfo=zone)
    with pytest.raises(BadInput, match=r"never showed 02:30 that night: it was put forward"):
        wall_time("2027-03-28T02:30", "Europe/Vienna", where="when")
    with pytest.raises(BadInput, match=r"showed 02:30 twice that night: it was put back"):
        wall_time("2026-10-25T02:30", "Europe/Vienna", where="when")
    for odd in ("", "noon", "2026-11-27T12:00+01:00", "2026-13-01T00:00"):
        with pytest.raises(BadInput, match="is no day and time"):
            wall_time(odd, "Europe/Vienna", where="when")


def test_a_job_asked_for_stands_first_with_its_steps(app: Open) -> None:
    page = app.client.get(f"/clock?person=jorun&job={app.goes}").text
    first = page[page.index('<section class="offer">') :]
    assert f"<strong>{app.goes}</strong>" in first[: first.index("</section>")]
    assert "<details open>" in first[: first.index("</section>")]


def test_of_many_open_jobs_every_one_can_be_switched_to(app: Open) -> None:
    """Those without a touch of their own stand in a list, and nothing stands twice."""
    place = app.client.app.state.house.place  # type: ignore[attr-defined]
    shop, now = place.said.shop, datetime(2026, 3, 2, tzinfo=ZoneInfo("UTC"))
    many = tuple(Offered(k, f"part {k}", now, ("saw",), 1) for k in range(101, 131))
    people = (PersonNow("jorun", "Jorun", (), None),)
    page = showing.page(shop, people, "jorun", works=(), offered=many, now=now, guard="", touch="t", asked_for=125)
    assert page.offers[0].job == 125
    assert sorted([*(one.job for one in page.offers), *(one.job for one in page.besides)]) == [*range(101, 131)]
