"""The table of real files says what each call came to, and never stops at a failure."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.real_files import Ran, main

READ = {
    "kind": "scan",
    "unit": {"name": "mm", "state": "sure", "why": "told"},
    "axisymmetric": True,
    "features": [{"kind": "shaft", "diameter_mm": 36.5}, {"kind": "shaft", "diameter_mm": 31.75}, {"kind": "face"}],
}


def test_each_file_has_its_line_and_a_failure_stops_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("a.stl", "b.STEP", "c.dxf", "d.ply", "notes.txt"):
        (tmp_path / name).touch()
    calls: list[Sequence[str]] = []

    def command(words: Sequence[str]) -> Ran:
        calls.append(words)
        name = Path(words[1]).name
        if name == "b.STEP":
            return Ran(1, 2.0, None, "our fault: it broke")
        if name == "c.dxf":
            return Ran(2, 0.1, None, "c.dxf: it is empty.")
        if words[0] == "plan":
            return Ran(0, 1.0, {"take": {"answer": "yes if"}}, "")
        if name == "d.ply" and "--unit" not in words:
            return Ran(0, 0.5, {**READ, "unit": {"name": "", "state": "ask"}}, "")
        return Ran(0, 0.5, READ, "")

    assert main([str(tmp_path), "--unit-of", "d.ply=in"], command) == 1
    shown = capsys.readouterr().out.splitlines()
    assert len(shown) == 1 + 5 + 1
    assert "shaft 2" in shown[1]
    assert "36.50, 31.75" in shown[1]
    assert "yes if" in shown[1]
    assert "our fault: it broke" in shown[2]
    assert "c.dxf: it is empty." in shown[3]
    assert "ask" in shown[4]
    assert "in in" in shown[5]
    assert [words[0] for words in calls] == ["read", "plan", "read", "read", "read", "read", "plan"]
    assert list(calls[-1][-2:]) == ["--unit", "in"]
    assert shown[-1].endswith("own fault: 1")


def test_an_empty_folder_is_said_in_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([str(tmp_path)]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1
