"""The verb `clock`: streams, exit codes, keys; a touch sent twice; what was forgotten is asked about."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from steadyrest.cli.main import status
from steadyrest.desk.floor import clock as desk
from steadyrest.desk.place import Place, open_place
from tests.web import workshop

DAY = "2026-11-27T"


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, int]:
    folder = tmp_path_factory.mktemp("clock") / "data"
    place = open_place(folder, None)
    number = workshop.planned(place, workshop.shaft(), "winch shaft")
    place.close()
    return folder, number


@pytest.fixture
def data(kept: tuple[Path, int], tmp_path: Path) -> tuple[Path, int]:
    """A folder of its own with one planned job."""
    import shutil

    shutil.copytree(kept[0], tmp_path / "data")
    return tmp_path / "data", kept[1]


@pytest.fixture
def place(data: tuple[Path, int]) -> Iterator[Place]:
    opened = open_place(data[0], None)
    yield opened
    opened.close()


def run(capsys: pytest.CaptureFixture[str], data: Path, now: str, *words: object) -> tuple[int, str, str]:
    code = status(["clock", *map(str, words), "--data", str(data), "--now", f"{DAY}{now}:00+01:00"])
    out, err = capsys.readouterr()
    return code, out, err


def answered(capsys: pytest.CaptureFixture[str], data: Path, now: str, *words: object) -> dict[str, object]:
    code, out, err = run(capsys, data, now, *words, "--json")
    assert (code, err, out.count("\n")) == (0, "", 1)
    return json.loads(out)


def test_a_day_on_the_clock(data: tuple[Path, int], capsys: pytest.CaptureFixture[str]) -> None:
    folder, job = data
    first = answered(capsys, folder, "08:00", "start", job, 1, "--person", "ines")
    assert (first["kind"], first["job"], first["step"]) == ("start", job, 1)
    answered(capsys, folder, "09:00", "stop", job, 1, "--person", "ines", "--done", "--note", "sawn")
    answered(capsys, folder, "09:05", "start", job, 2, "--person", "ambra", "--at", f"{DAY}09:00+01:00")
    answered(capsys, folder, "09:30", "note", "centre hole is worn", "--person", "ambra", "--job", job)
    now = answered(capsys, folder, "10:00", "now")
    on = {one["person"]: one["on"] for one in now["people"]}
    assert (on["ines"], on["jorun"]) == ([], [])
    assert [(work["job"], work["step"], work["worked_s"], work["end"]) for work in on["ambra"]] == [
        (job, 2, 3600, None)
    ]
    fixed = answered(capsys, folder, "10:05", "fix", first["entry"], "--by", "ambra", "--at", f"{DAY}08:30+01:00")
    held = answered(capsys, folder, "10:10", "list", "--job", job)
    assert [(w["person"], w["worked_s"], w["forgotten"]) for w in held["stretches"]] == [
        ("ines", 1800, None), ("ambra", 4200, None),
    ]  # fmt: skip
    stands = {entry["entry"]: entry["stands"] for entry in held["entries"]}
    assert (stands[first["entry"]], stands[fixed["entry"]], len(stands)) == (False, True, 5)
    code, out, _ = run(capsys, folder, "10:10", "list")
    assert code == 0
    assert "Fri 27 Nov, 08:30 to 09:00" in out


@pytest.mark.parametrize(
    "words",
    [
        ("start", "101"),
        ("start", "--person", "ines"),
        ("start", "999", "--person", "ines"),
        ("start", "{job}", "99", "--person", "ines"),
        ("start", "{job}", "0", "--person", "ines"),
        ("start", "{job}", "1", "1", "--person", "ines"),
        ("start", "nine", "--person", "ines"),
        ("start", "{job}", "--person", "nobody"),
        ("start", "{job}", "--person", "ines", "--at", "2026-11-27T09:00+01:00"),
        ("start", "{job}", "--person", "ines", "--photo", "none.jpg"),
        ("stop", "99999999999", "--person", "ines"),
        ("note", "--person", "ines"),
        ("fix", "7", "--person", "ines", "--strike"),
        ("fix", "--person", "ines", "--strike"),
        ("now", "101"),
        ("list", "--job", "999"),
        ("list", "--person", "nobody"),
    ],
)
def test_what_cannot_be_meant_is_one_line_and_nothing_is_written(
    words: tuple[str, ...], data: tuple[Path, int], capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = run(capsys, data[0], "08:00", *(word.format(job=data[1]) for word in words), "--json")
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert answered(capsys, data[0], "08:01", "list")["entries"] == []


def test_a_touch_sent_twice_counts_once(place: Place, data: tuple[Path, int]) -> None:
    said = desk.Said("start", "ines", job=data[1], touch="one-touch-of-a-form")
    first = desk.tell(place.store, place.said.shop, said, now=workshop.NOW)
    again = desk.tell(place.store, place.said.shop, said, now=workshop.NOW)
    assert again.id == first.id
    held = desk.listed(place.store, place.said.shop, job=None, person=None, since=None, now=workshop.NOW)
    assert len(held.entries) == 1


def test_a_forgotten_stop_is_asked_about_and_the_answer_is_an_entry(
    data: tuple[Path, int], capsys: pytest.CaptureFixture[str]
) -> None:
    folder, job = data
    answered(capsys, folder, "08:00", "start", job, "--person", "ines")  # in from 07:00 to 12:00
    assert not forgotten(answered(capsys, folder, "13:59", "now"))
    assert forgotten(answered(capsys, folder, "14:01", "now")) == [f"{DAY}11:00:00+00:00"]
    out = run(capsys, folder, "18:00", "now")[1]
    assert "a stop seems forgotten: was it Fri 27 Nov, 12:00?" in out
    answered(capsys, folder, "18:00", "stop", job, "--person", "ines", "--at", f"{DAY}12:10+01:00")
    held = answered(capsys, folder, "18:00", "list")
    assert [(w["worked_s"], w["forgotten"]) for w in held["stretches"]] == [(4 * 3600 + 600, None)]


def test_whoever_says_they_were_there_is_believed(place: Place, data: tuple[Path, int]) -> None:
    from datetime import timedelta

    store, shop, late = place.store, place.said.shop, workshop.NOW + timedelta(hours=12)
    desk.tell(store, shop, desk.Said("start", "ambra", job=data[1]), now=workshop.NOW)
    desk.tell(store, shop, desk.Said("stop", "ambra"), now=late)
    (asked,) = desk.to_ask(store, shop, now=late, since=workshop.NOW)
    desk.tell(store, shop, desk.was_there(asked, who="ambra", now=late), now=late)
    assert desk.to_ask(store, shop, now=late, since=workshop.NOW) == ()


def forgotten(now: dict[str, object]) -> list[str]:
    return [
        work["forgotten"]["likely_end"]
        for one in now["people"]
        for work in one["on"]
        if work["forgotten"]  # type: ignore[attr-defined]
    ]
