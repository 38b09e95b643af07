"""Several parts handed in on the page: kept, planned in the queue, shown; what does not fit together is one line."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from steadyrest.desk.incoming import hand_over, taking_in, taking_in_several, tasks
from steadyrest.desk.place import open_place
from steadyrest.desk.plan import keeping
from tests.web import workshop
from tests.web.conftest import Open

LIST = """
name = "two <shafts>"
customer = "the ferry"
due = 2027-01-29T16:00:00+01:00
[[part]]
id = "P1"
file = "shafts/shaft.step"
material = "C45"
[[part]]
id = "P2"
file = "shafts/shaft.step"
material = "C45"
[[assembly]]
id = "A1"
of = ["P1", "P2"]
joint = "bolted"
"""
WAIT_S = 300


@pytest.fixture(scope="module")
def step_file(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    folder = tmp_path_factory.mktemp("shaft")
    hand_over.write(workshop.shaft(), folder, unit="mm", progress=lambda _what, _share: None, stop=lambda: False)
    return (folder / "nominal.step").read_bytes()


def test_a_list_with_its_files_becomes_a_job_with_each_part_and_the_assembly(app: Open, step_file: bytes) -> None:
    files = [("files", ("job.toml", LIST.encode())), ("files", ("shaft.step", step_file))]
    sent = app.client.post("/several", data={"guard": app.guard}, files=files)
    assert sent.status_code == 303
    reading = sent.headers["location"]
    answer = app.client.get(reading)
    for _ in range(WAIT_S * 2):
        answer = app.client.get(reading)
        if answer.status_code == 303:
            break
        assert "our fault" not in answer.text
        assert "job.toml, line" not in answer.text
        time.sleep(0.5)
    text = app.client.get(answer.headers["location"]).text
    assert "two &lt;shafts&gt;" in text
    assert [text.index(word) for word in ("P1: 1 ×", "P2: 1 ×", "Put together")]
    assert "P1, P2 come off the same stock" in text


@pytest.mark.parametrize(
    ("files", "told"),
    [
        ({"job.toml": LIST.encode()}, "shaft.step was not sent"),
        ({"shaft.step": b"x"}, "0 parts lists"),
        ({"a.toml": LIST.encode(), "b.toml": LIST.encode()}, "2 parts lists"),
        ({"job.toml": LIST.replace("P2", "P1").encode(), "shaft.step": b"x"}, "stands twice"),
        ({"job.toml": LIST.replace("2027", "2020").encode(), "shaft.step": b"x"}, "not later than now"),
        ({"job.toml": b"\xff\xfe", "shaft.step": b"x"}, "not a text file"),
        ({"job.toml": LIST.encode(), "shaft.step": b""}, "was not sent, or is empty"),
    ],
)
def test_what_does_not_fit_together_is_one_line_and_nothing_is_queued(
    app: Open, files: dict[str, bytes], told: str
) -> None:
    sent = app.client.post(
        "/several", data={"guard": app.guard}, files=[("files", (name, data)) for name, data in files.items()]
    )
    assert sent.status_code == 422
    assert told in sent.text


def test_a_part_s_file_that_is_none_fails_with_the_part_s_place_in_the_list(tmp_path: Path) -> None:
    place = open_place(tmp_path / "data", None)
    try:
        files = {"job.toml": LIST.encode(), "shaft.step": b"no step file at all"}
        task = taking_in_several.hand_in(place.store, files, said=place.said, now=workshop.NOW)
        queue = taking_in.Queue(place.store, place.said, lambda: workshop.NOW)
        queue.open()
        seen = tasks.task(place.store, task)
        for _ in range(WAIT_S * 2):
            seen = tasks.task(place.store, task)
            if seen.state not in ("waiting", "running"):
                break
            time.sleep(0.5)
        queue.close()
        assert seen.state == "failed"
        assert "part P1" in seen.trouble
        assert keeping.kept_jobs(place.store) == ()
    finally:
        place.close()
