"""A revision stops the plan of the older drawing, wherever it is read, until it is planned anew."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from steadyrest.desk.floor import clock
from steadyrest.desk.incoming import revisions
from steadyrest.desk.place import Place, open_place
from steadyrest.desk.plan import issue_paper, keeping
from steadyrest.papers.differences import stopped
from steadyrest.store import jobs, plans
from steadyrest.trouble import BadInput
from steadyrest.web.app import make_app
from tests.stations import parts
from tests.web import workshop
from tests.web.workshop import NOW

LATER = NOW + timedelta(minutes=5)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    """A job that was taken, with revision B handed in but not read."""
    found = open_place(tmp_path_factory.mktemp("revisions") / "data", None)
    number = workshop.planned(found, workshop.shaft(), "winch shaft", due=NOW + timedelta(days=12))
    assert number == 101
    typed = revisions.Typed("B", "ambra", words="longer <seat>", touch="one-touch")
    for _ in range(2):  # a touch that is sent twice counts once
        revisions.hand_in(found.store, 101, typed, "shaft-b.step", b"revision B", now=NOW)
    yield found
    found.close()


def longer():
    """The shaft with its second step 10 mm longer."""
    return workshop.worded(parts.turned([(25, 30, None), (30, 70, (29.98, 30.0)), (20, 40, None)], name="shaft-b.step"))


def pages(place: Place) -> dict[str, str]:
    """The pages of the job that bear the mark."""
    app = make_app(place, clock=lambda: LATER, hosts=workshop.HOSTS)
    with TestClient(app, raise_server_exceptions=False, follow_redirects=False) as client:
        client.post("/jobs/101/answer", data={"guard": app.state.house.token.value, "answer": "yes"})
        asked = ("/jobs/101", "/today", "/clock?person=ambra", "/jobs/101/revisions")
        return {one: client.get(one).text for one in asked}


def test_from_the_moment_it_is_handed_in_every_page_and_the_job_sheet_say_stop(place: Place) -> None:
    kept = keeping.kept_job(place.store, 101)
    assert kept.stop is not None
    assert (kept.stop.revision, kept.stop.planned_from) == ("B", "as first handed in")
    shown = pages(place)
    for address, text in shown.items():
        assert "Stop: the drawing has changed" in text, address
    assert "longer &lt;seat&gt;" in shown["/jobs/101/revisions"]
    assert "revision B" in stopped(kept.stop, "Europe/Vienna")
    assert issue_paper.job_paper(kept, made=NOW).startswith(b"%PDF")
    assert clock.offered(place.store, "ambra", now=NOW)[0].stop == kept.stop


def test_what_is_not_read_cannot_be_planned_from(place: Place) -> None:
    with pytest.raises(BadInput, match="not read yet"):
        revisions.plan_anew(place.store, 101, due="", touch="", now=NOW)


@pytest.mark.parametrize(("name", "data"), [("", b"x"), ("B", b"x"), ("b", b"x"), ("C", b""), ("C", b"revision B")])
def test_what_is_no_new_revision_is_refused(place: Place, name: str, data: bytes) -> None:
    with pytest.raises(BadInput):
        revisions.hand_in(place.store, 101, revisions.Typed(name, "ambra"), "f.step", data, now=NOW)


def test_planned_anew_the_mark_is_gone_and_the_older_plan_is_kept(place: Place) -> None:
    found = revisions.history(place.store, 101)
    assert [one.part is not None for one in found.beside] == [True, False]
    with place.store.writing() as session:  # what reading the file brings
        job = jobs.job(session, 101)
        assert job is not None
        sha256 = found.beside[1].revision.sha256  # pyright: ignore[reportOptionalMemberAccess]
        plans.keep_part(session, job_id=job.id, part=longer(), file_sha256=sha256, now=NOW)
    found = revisions.history(place.store, 101)
    differs = found.beside[1].difference
    assert differs is not None
    assert [(one.kind, [size.name for size in one.sizes]) for one in differs.of("size")] == [("size", ["length_mm"])]
    assert found.stop is not None
    asked = {"job": 101, "due": ""}
    revisions.plan(place.store, asked, said=place.said, now=NOW, progress=lambda _w, _s: None, stop=lambda: False)
    kept = keeping.kept_job(place.store, 101)
    assert kept.stop is None
    assert kept.answer.part.name == "shaft-b.step"
    shown = pages(place)
    assert "Stop: the drawing" not in "".join(shown.values())
    assert "60 mm" in shown["/jobs/101/revisions"]
    assert "70 mm" in shown["/jobs/101/revisions"]
    again = revisions.history(place.store, 101)
    assert again.plan_before is not None
    assert again.plan_before.part.name == "shaft.step"


def test_a_reading_of_the_older_part_does_not_lift_the_stop(place: Place) -> None:
    """The file of a reading's part is that of the plan it was taken by."""
    revisions.hand_in(place.store, 101, revisions.Typed("C", "ambra"), "c.step", b"revision C", now=LATER)
    with place.store.writing() as session:
        job = jobs.job(session, 101)
        assert job is not None
        chosen = plans.chosen_plan(session, job.id)
        assert chosen is not None
        of = next(one.file_sha256 for one in plans.parts(session, job.id) if one.id == chosen.part_id)
        answer = keeping.plan_value(chosen)
        again = plans.keep_part(session, job_id=job.id, part=answer.part, file_sha256=of, now=LATER)
        keeping.keep_plan(session, job, again.id, replace(answer, now=LATER), now=LATER)
    assert keeping.kept_job(place.store, 101).stop is not None


def test_struck_the_older_drawing_holds_again(place: Place) -> None:
    newest = revisions.history(place.store, 101).beside[-1].revision
    assert newest is not None
    with pytest.raises(BadInput):
        revisions.strike(place.store, 101, "1", "another job's", who="ambra", now=LATER)
    revisions.strike(place.store, 101, str(int(newest.entry)), "another job's", who="ambra", now=LATER)
    assert keeping.kept_job(place.store, 101).stop is None
