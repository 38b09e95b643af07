"""The verb `damage`: one part, two halves, and one line for what is no scan."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from steadyrest.cli.main import status
from steadyrest.demo import scan
from tests.forward.parts import PARTS


def test_a_broken_shaft_is_said_to_be_broken(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "broken.ply"
    scan.write_ply(file, *scan.scan(PARTS["broken_shaft"](), scan.ScanSettings(voxel_mm=0.7, blind="all seen"), seed=2))
    assert status(["damage", str(file), "--unit", "mm", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert "broken" in {end["state"] for end in answer["ends"]}
    assert answer["doubts"]


def test_what_is_no_scan_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "letter.ply"
    file.write_text("dear sir")
    assert status(["damage", str(file), str(file), "--unit", "mm", "--json"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
