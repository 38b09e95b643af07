"""`plan` of a flat drawing: the thickness is asked for, and then it is a whole route with its sheets."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from steadyrest.cli.main import status
from tests.part.flat.tags import circle, drawing, rectangle

ASKED = (
    "--unit", "mm", "--material", "S235", "--quantity", "3", "--due", "2026-12-10T18:00+01:00", "--now",
    "2026-11-26T08:00+01:00",
)  # fmt: skip


@pytest.fixture
def plate(tmp_path: Path) -> Path:
    file = tmp_path / "base.dxf"
    file.write_bytes(drawing(rectangle(0, 0, 160, 100) + circle(50, 50, 12)))
    return file


def test_without_a_thickness_it_is_asked_for_in_one_line(plate: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert status(["plan", str(plate), *ASKED]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert "--thickness" in err


def test_with_one_the_route_and_its_sheets_are_answered(plate: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert status(["plan", str(plate), *ASKED, "--thickness", "6", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["take"]["answer"] == "yes"
    route = answer["routes"][answer["chosen"]]
    assert "plate" in [step["station"] for step in route["steps"]]
    assert sum(sheet["count"] * len(sheet["placed"]) for sheet in route["sheets"]) == 3
    assert route["cannot"] == []
    assert answer["part"]["size_mm"][2] == 6
