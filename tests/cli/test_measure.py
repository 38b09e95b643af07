"""`measure`: what there is to measure, a reading and what it decides; what is at fault is exit 2 with one line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from steadyrest.cli.main import status
from steadyrest.desk.place import open_place
from tests.web import workshop


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    folder = tmp_path_factory.mktemp("measure") / "data"
    place = open_place(folder, None)
    number = workshop.planned(place, workshop.shaft(), "winch shaft")
    place.close()
    return folder, str(number)


def told(capsys: pytest.CaptureFixture[str], kept: tuple[Path, str], *words: str) -> tuple[int, str, str]:
    folder, number = kept
    code = status(["measure", number, "--data", str(folder), "--now", workshop.NOW.isoformat(), *words])
    out, err = capsys.readouterr()
    return code, out, err


def test_a_reading_is_decided_kept_once_and_answered_as_one_document(
    kept: tuple[Path, str], capsys: pytest.CaptureFixture[str]
) -> None:
    said = ("--feature", "S2", "--reading", "29.991", "--gauge", "micro", "--touch", "a-mark-1")
    first = told(capsys, kept, *said, "--json")
    assert first == told(capsys, kept, *said, "--json")
    document = json.loads(first[1])
    assert (first[0], document["state"]) == (0, "right")
    (seat,) = [one for one in document["sizes"] if one["own_limits"]]
    assert (seat["feature"], seat["state"], len(seat["readings"])) == ("S2", "right", 1)
    assert seat["accept_mm"][0] > seat["limits_mm"][0]
    assert "right" in told(capsys, kept)[1]


def test_a_decision_is_told_in_words(kept: tuple[Path, str], capsys: pytest.CaptureFixture[str]) -> None:
    where = ("--feature", "S2", "--size", "diameter_mm", "--piece", "2")
    assert "wrong" in told(capsys, kept, *where, "--reading", "30.02; 30.021")[1]
    assert "remake" in told(capsys, kept, *where, "--becomes", "remake", "--words", "too large")[1]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--feature", "S1", "--reading", "24.99"), "or more than one"),
        (("--feature", "S9", "--reading", "29.99"), "S9"),
        (("--reading", "29.99"), "no feature"),
        (("--feature", "S2", "--size", "diameter_mm", "--reading", "299"), "far from"),
        (("--feature", "S2", "--size", "diameter_mm", "--reading", "x"), "reading"),
        (("--feature", "S2", "--size", "diameter_mm", "--reading", "29.99", "--gauge", "depth"), "gauge"),
        (("--feature", "S2", "--size", "diameter_mm", "--reading", "29.99", "--becomes", "use"), "two things"),
        (("--feature", "S2", "--size", "diameter_mm", "--becomes", "use", "--piece", "3"), "not measured yet"),
        (("--piece", "61"), "no piece 61"),
    ],
)
def test_what_is_at_fault_is_one_line(
    kept: tuple[Path, str], capsys: pytest.CaptureFixture[str], words: tuple[str, ...], says: str
) -> None:
    code, out, err = told(capsys, kept, *words)
    assert (code, out) == (2, "")
    assert says in err
    assert err.count("\n") == 1


def test_without_a_data_folder_there_is_nothing_to_measure(capsys: pytest.CaptureFixture[str]) -> None:
    assert status(["measure", "101"]) == 2
    assert "--data" in capsys.readouterr().err
