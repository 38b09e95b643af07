"""Things of the shop, the customer's own parts, what was spent, lists: told once, and shown where it matters."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from steadyrest.desk.floor import things
from steadyrest.desk.place import open_place
from steadyrest.store import clock, jobs, runs_alone
from steadyrest.web.app import make_app
from tests.web import workshop
from tests.web.conftest import Open
from tests.web.workshop import NOW

PNG = b"\x89PNG\r\n\x1a\n" + b"\x00" * 40


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Open]:
    """A folder with one job, taken."""
    place = open_place(tmp_path_factory.mktemp("things") / "data", None)
    goes = workshop.planned(place, workshop.shaft(), "winch <shaft>", due=NOW + timedelta(days=12))
    made = make_app(place, clock=lambda: NOW, hosts=workshop.HOSTS)
    with TestClient(made, raise_server_exceptions=False, follow_redirects=False) as client:
        guard = made.state.house.token.value
        client.post(f"/jobs/{goes}/answer", data={"guard": guard, "answer": "yes"})
        yield Open(client, goes, 0, guard, place.store.folder)
    place.close()


def says(own: Open, address: str, files: object = None, **words: str):
    return own.client.post(address, data={"guard": own.guard, **words}, files=files)


def kept(own: Open, name: str) -> things.Kept:
    place = open_place(Path(own.folder), None)
    try:
        return next(one for one in things.all_things(place.store, place.said.shop, now=NOW) if one.thing.name == name)
    finally:
        place.close()


def test_a_tool_that_runs_low_is_told_on_its_page_and_today(own: Open) -> None:
    made = says(
        own, "/things", kind="tool", name="drill <6.8>", count="5", lead_days="30", by="ambra", touch="touch-one"
    )
    assert made.status_code == 303
    again = says(own, "/things", kind="tool", name="drill <6.8>", count="5", by="ambra", touch="touch-one")
    assert again.headers["location"] == made.headers["location"]
    address = made.headers["location"]
    assert says(own, address, what="used", count="4", seen="1", by="ines").status_code == 303
    late = says(own, address, what="used", count="1", seen="1", by="jorun")
    assert late.status_code == 422
    assert "ines said something of it meanwhile" in late.text
    assert says(own, address, what="used", count="9", by="ines").status_code == 422
    one = kept(own, "drill <6.8>")
    assert (one.thing.count, one.attention) == (1, "low")
    for page in ("/things", "/today"):
        shown = own.client.get(page).text
        assert "drill &lt;6.8&gt;" in shown
        assert "1 left, order at" in shown
    assert says(own, address, what="counted", count="90", by="ines").status_code == 303
    assert kept(own, "drill <6.8>").attention == ""


def test_a_gauge_overdue_here_decides_no_reading(own: Open) -> None:
    place = open_place(Path(own.folder), None)
    gauge = place.said.shop.gauges[0]
    assert says(own, "/things", kind="gauge", name=gauge.id, due="2026-11-26", by="ambra").status_code == 303
    dated = things.with_gauges(place.said.shop, place.store).gauges[0]
    place.close()
    assert dated.due is not None
    assert NOW - timedelta(days=1) < dated.due < NOW  # the day itself still counted
    assert "no reading with it decides" in own.client.get("/things").text


def test_a_machine_s_hours_are_those_at_the_clock_once_and_those_alone(own: Open) -> None:
    assert says(own, "/things", kind="machine", name="nothing", by="ambra").status_code == 422
    place = open_place(Path(own.folder), None)
    with place.store.writing() as session:
        job = jobs.job(session, own.goes)
        assert job is not None
        steps = things.machines_of(session, job.id)
        step = next(k for k, machine in enumerate(steps, 1) if machine)
        machine = steps[step - 1] or ""
        start = NOW - timedelta(hours=5)
        for person, begin, end in (("ambra", 0, 2), ("ines", 1, 3)):  # together from the first hour to the third
            for kind, hour in (("start", begin), ("stop", end)):
                at = start + timedelta(hours=hour)
                clock.write(session, person=person, kind=kind, happened=at, told=at, who=person, job_id=job.id,
                            step=step)  # fmt: skip
        noted = runs_alone.AloneNoted(machine, 1800.0, stopped=False, who="ambra", when=NOW - timedelta(hours=1))
        runs_alone.note_alone(session, noted)
        hours = things.run_hours(session, place.said.shop, machine, since=start - timedelta(hours=1), now=NOW)
    place.close()
    assert hours == pytest.approx(3.5)


def test_their_part_is_taken_in_with_its_damage_and_goes_back_once(own: Open) -> None:
    there = f"/jobs/{own.goes}/theirs"
    photo = {"photo": ("crack.png", PNG, "image/png")}
    came = {"act": "came", "what": "gearbox <lid>", "count": "2", "weight": "3.5 kg", "damage": "cracked", "by": "ines"}
    for _ in range(2):
        assert says(own, there, files=photo, touch="their-touch", **came).status_code == 303
    page = own.client.get(there).text
    assert page.count("2 × gearbox &lt;lid&gt;, 3.5 kg; damage as it came: cracked") >= 1
    shown = re.search(r'<img src="([^"]+/photo/[0-9a-f]{64})"', page)
    assert shown is not None
    answer = own.client.get(shown[1])
    assert (answer.content, answer.headers["content-type"]) == (PNG, "image/png")
    assert own.client.get(shown[1].replace("/photo/", "/photo/0")).status_code == 404
    says(own, f"/jobs/{own.goes}/answer", answer="ready")
    assert "theirs, to go back with it: 2 × gearbox" in own.client.get("/today").text
    entry = re.search(r'name="entry" value="(\d+)"', page)
    assert entry is not None
    assert says(own, there, act="back", entry=entry[1], by="ines").status_code == 303
    assert says(own, there, act="back", entry=entry[1], by="ines").status_code == 422
    assert "to go back with it" not in own.client.get("/today").text


@pytest.mark.parametrize(
    ("address", "words"),
    [
        ("/jobs/{goes}/theirs", {"act": "came", "what": "", "by": "ines"}),
        ("/jobs/{goes}/theirs", {"act": "came", "what": "lid", "count": "-1", "by": "ines"}),
        ("/jobs/{goes}/theirs", {"act": "came", "what": "lid", "weight": "heavy", "by": "ines"}),
        ("/jobs/9999/theirs", {"act": "came", "what": "lid", "by": "ines"}),
        ("/things", {"kind": "spoon", "name": "x", "by": "ines"}),
        ("/things", {"kind": "tool", "name": "x", "count": "many", "by": "ines"}),
        ("/things", {"kind": "fixture", "name": "x", "due": "soon", "by": "ines"}),
        ("/things", {"kind": "fixture", "name": " ", "by": "ines"}),
        ("/things", {"kind": "fixture", "name": "x", "job": "9999", "by": "ines"}),
        ("/things", {"kind": "fixture", "name": "x", "job": "-1", "by": "ines"}),
        ("/spent", {"job": "101", "what": "crane", "by": "ines"}),
        ("/spent", {"job": "9999", "what": "crane", "cost": "5", "by": "ines"}),
        ("/import", {"act": "write", "sha256": "../../etc", "what": "hours"}),
        ("/import", {"act": "undo", "entry": "7e9"}),
        ("/jobs/{goes}/revisions", {"act": "hand in", "name": "B"}),
        ("/jobs/{goes}/revisions", {"act": "strike", "entry": "1"}),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_told_on_the_page(own: Open, address: str, words: dict[str, str]) -> None:
    answer = says(own, address.format(goes=own.goes), **words)
    assert answer.status_code in (404, 422)
    assert "Traceback" not in answer.text


def test_what_was_spent_counts_once_and_is_listed(own: Open) -> None:
    for _ in range(2):
        spent = says(
            own, "/spent", job=str(own.goes), what="crane <hire>", cost="120.00", by="ambra", touch="spent-one"
        )
        assert spent.status_code == 303
    page = own.client.get("/spent").text
    assert page.count("crane &lt;hire&gt;") == 1
    assert "120.00" in page


def test_a_list_is_looked_at_then_written_then_undone(own: Open) -> None:
    file = {"file": ("c.csv", b"name,days_to_pay\nMill <office>,14\n", "text/csv")}
    looked = says(own, "/import", files=file, act="look", what="customers")
    assert looked.status_code == 200
    assert "Mill &lt;office&gt;: a new customer" in looked.text
    sha256 = re.search(r'name="sha256" value="([0-9a-f]{64})"', looked.text)
    assert sha256 is not None
    wrote = {"act": "write", "what": "customers", "name": "c.csv", "sha256": sha256[1], "touch": "write-one"}
    assert [says(own, "/import", **wrote).status_code for _ in range(2)] == [303, 303]
    entry = re.search(r'name="entry" value="(\d+)"', own.client.get("/import").text)
    assert entry is not None
    assert says(own, "/import", act="undo", entry=entry[1]).status_code == 303
    assert "undone" in own.client.get("/import").text
    archive = says(own, "/export")
    assert archive.content.startswith(b"PK")
    assert says(own, "/export", guard="wrong").status_code == 403


def test_a_part_that_came_back_stands_beside_the_job_before(own: Open) -> None:
    page = own.client.get(f"/jobs/{own.goes}/beside/{own.goes}")
    assert page.status_code == 200
    assert "Nothing that was read is different" in page.text
    assert own.client.get(f"/jobs/{own.goes}/beside/9999").status_code == 404
    assert "jaws, 30 mm" not in page.text
    assert says(own, "/things", kind="fixture", name="jaws, 30 mm", job=str(own.goes)).status_code == 303
    assert "jaws, 30 mm" in own.client.get(f"/jobs/{own.goes}/beside/{own.goes}").text
