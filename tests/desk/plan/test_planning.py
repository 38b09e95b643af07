"""Desk: what may be asked, which route is taken, and that what was handed in outlives a fall."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.desk.incoming import taking_in, tasks
from steadyrest.desk.place import open_place
from steadyrest.desk.plan import plan_part
from steadyrest.desk.which_shop import example_text, which_shop
from steadyrest.store import work_queue
from steadyrest.trouble import BadInput

NOW = datetime.fromisoformat("2026-11-27T12:10:00+01:00")
HANDED = taking_in.Handed("pin.stl", "pin", "", "C45", "1", "mm", (NOW + timedelta(days=3)).isoformat())


@given(st.text(max_size=12))
def test_a_quantity_is_a_number_of_parts_or_one_clear_line(text: str) -> None:
    try:
        quantity = plan_part.quantity_of(text)
    except BadInput:
        return
    assert 1 <= quantity <= plan_part.MOST


@given(st.one_of(st.text(max_size=20), st.datetimes().map(datetime.isoformat)))
def test_a_due_time_is_to_come_and_has_its_offset_or_is_refused(text: str) -> None:
    try:
        due = plan_part.due_of(text, NOW)
    except BadInput:
        return
    assert due > NOW
    assert due.tzinfo is not None


def test_a_due_time_in_the_past_is_refused_to_the_minute() -> None:
    assert plan_part.due_of((NOW + timedelta(minutes=1)).isoformat(), NOW) > NOW
    with pytest.raises(BadInput, match="not later than now"):
        plan_part.due_of(NOW.isoformat(), NOW)


def test_a_named_shop_comes_before_the_folder_s_and_that_before_the_example(tmp_path: Path) -> None:
    named, folder = tmp_path / "named.toml", tmp_path / "data"
    folder.mkdir()
    named.write_text(example_text().replace('name = "', 'name = "Named ', 1), encoding="utf-8")
    (folder / "shop.toml").write_text(example_text().replace('name = "', 'name = "Own ', 1), encoding="utf-8")
    assert which_shop(named, folder).shop.name.startswith("Named ")
    assert which_shop(None, folder).shop.name.startswith("Own ")
    assert which_shop(None, tmp_path / "nowhere").example
    assert which_shop(None, None).example


def test_a_shop_file_that_is_no_text_is_one_line(tmp_path: Path) -> None:
    file = tmp_path / "shop.toml"
    file.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(BadInput, match="not a text file"):
        which_shop(file, None)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"material": "moonrock"}, "moonrock"),
        ({"quantity": "0"}, "number of parts"),
        ({"due": NOW.isoformat()}, "later than now"),
        ({"unit": "ell"}, "no unit"),
    ],
)
def test_what_cannot_be_planned_is_refused_before_anything_is_kept(
    changes: dict[str, str], told: str, tmp_path: Path
) -> None:
    place = open_place(tmp_path, None)
    try:
        with pytest.raises(BadInput, match=told):
            taking_in.hand_in(place.store, replace(HANDED, **changes), b"solid", said=place.said, now=NOW)
        assert tasks.open_tasks(place.store) == ()
        assert not [file for file in (tmp_path / "files").rglob("*") if file.is_file()]
    finally:
        place.close()


def test_what_was_handed_in_is_taken_up_again_after_a_fall(tmp_path: Path) -> None:
    place = open_place(tmp_path, None)
    number = taking_in.hand_in(place.store, HANDED, b"not a part at all", said=place.said, now=NOW)
    with place.store.writing() as session:
        taken = work_queue.take(session, now=NOW)  # it was running when the house fell
    assert taken is not None
    place.close()
    again = open_place(tmp_path, None)
    queue = taking_in.Queue(again.store, again.said, lambda: NOW)
    queue.open()
    try:
        for _ in range(600):
            seen = tasks.task(again.store, number)
            if seen.state not in ("waiting", "running"):
                break
            queue.thread.join(timeout=0.1)
        assert seen.state == "failed"
        assert "pin.stl" in seen.trouble
        assert "\n" not in seen.trouble
    finally:
        queue.close()
        again.close()


def test_a_task_that_waits_is_stopped_at_once(tmp_path: Path) -> None:
    place = open_place(tmp_path, None)
    try:
        number = taking_in.hand_in(place.store, HANDED, b"solid", said=place.said, now=NOW)
        tasks.stop_task(place.store, number, now=NOW)
        assert tasks.task(place.store, number).state == "stopped"
        with place.store.reading() as session:
            found = work_queue.task(session, work_queue.TaskId(number))
        assert found is not None
        assert json.loads(found.asked)["name"] == "pin.stl"
    finally:
        place.close()
