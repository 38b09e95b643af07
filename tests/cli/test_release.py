"""The verb `release`: one document, one line of trouble, the same streams and exit codes as every verb."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from steadyrest.cli.main import status
from steadyrest.demo.programs import write_programs

WHEN = ("--now", "2026-11-27T18:40+01:00")


@pytest.fixture
def floor(tmp_path: Path) -> Path:
    (tmp_path / "to-the-lathe").mkdir()
    write_programs(tmp_path / "programs")
    return tmp_path


def run(floor: Path, *words: str) -> int:
    verb, name, *rest = words
    return status([verb, str(floor / "programs" / name), *rest, "--data", str(floor), *WHEN])


def test_a_check_kept_in_the_data_folder_lets_the_file_go(floor: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(floor, "leave", "shaft-side-1.nc", "--machine", "lathe", "--json") == 0
    assert json.loads(capsys.readouterr().out)["may_leave"] == "yes"
    assert run(floor, "release", "shaft-side-1.nc", "--machine", "lathe", "--by", "ambra", "--json") == 0
    answer = json.loads(capsys.readouterr().out)
    assert (answer["by"], answer["before"], answer["differences"]) == ("ambra", None, [])
    assert Path(answer["to"]).read_bytes() == (floor / "programs" / "shaft-side-1.nc").read_bytes()
    assert answer["cautions"]
    assert run(floor, "release", "shaft-side-1.nc", "--machine", "lathe", "--by", "ines") == 0
    words = capsys.readouterr().out
    assert "it moves as the one released before" in words
    assert words.count("Caution:") == 3


@pytest.mark.parametrize(
    "words",
    [
        ("release", "spacers.nc", "--machine", "lathe", "--by", "ines"),
        ("release", "spacers.nc", "--machine", "planer", "--by", "ines"),
        ("release", "none.nc", "--machine", "lathe", "--by", "ines"),
    ],
)
def test_what_may_not_go_is_one_line(floor: Path, words: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(floor, *words, "--json") == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
