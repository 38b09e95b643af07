"""The verbs that keep the data safe: streams, exit codes, 3 for damage alone."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from steadyrest.cli.main import status
from steadyrest.store.opening import open_store
from tests.store import sample

WHEN = ("--now", "2026-11-27T18:40+01:00")


@pytest.fixture
def data(tmp_path: Path) -> Path:
    store = open_store(tmp_path / "data")
    sha256 = store.files.keep(b"a scan")
    from steadyrest.store import plans

    with store.writing() as session:
        sample.job(session)
        plans.note_file(session, sha256=sha256, size_bytes=6, name="shaft.ply", kind="scan", now=sample.NOW)
    store.close()
    return tmp_path / "data"


def run(capsys: pytest.CaptureFixture[str], *words: str | Path) -> tuple[int, str, str]:
    code = status([*map(str, words), *WHEN])
    out, err = capsys.readouterr()
    return code, out, err


def test_out_and_back_again(data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, "backup", tmp_path / "stick", "--data", data, "--keep", "3", "--json")
    made = json.loads(out)
    assert (code, err, made["files"], made["tried"]) == (0, "", 1, True)
    assert made["kept"] == ["steadyrest-20261127T174000Z"]
    code, out, _ = run(capsys, "restore", made["folder"], "--data", tmp_path / "again", "--json")
    assert (code, json.loads(out)["files"]) == (0, 1)
    for folder, backup in ((tmp_path / "again", False), (Path(made["folder"]), True)):
        code, out, _ = run(capsys, "verify", folder, "--json")
        looked = json.loads(out)
        assert (code, looked["whole"], looked["backup"], looked["damage"], looked["files"]) == (0, True, backup, [], 1)


def test_damage_is_listed_on_standard_output_and_is_exit_code_3(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    next(path for path in (data / "files").rglob("*") if path.is_file()).write_bytes(b"a scam")
    code, out, err = run(capsys, "verify", "--data", data, "--json")
    looked = json.loads(out)
    assert (code, err, looked["whole"], len(looked["damage"])) == (3, "", False, 1)
    assert looked["damage"][0]["where"].startswith("files, shaft.ply")
    code, out, err = run(capsys, "verify", data)
    assert (code, err) == (3, "")
    assert "damaged in 1 places" in out


@pytest.mark.parametrize(
    "words",
    [
        ("verify",),
        ("verify", "{tmp}/none"),
        ("backup", "{tmp}/stick"),
        ("backup", "{tmp}/stick", "--data", "{tmp}/none"),
        ("backup", "{data}/inside", "--data", "{data}"),
        ("backup", "{tmp}/stick", "--data", "{data}", "--keep", "0"),
        ("restore", "{tmp}/none", "--data", "{tmp}/new"),
        ("restore", "{data}"),
        ("restore", "{data}", "--data", "{data}"),
    ],
)
def test_what_cannot_be_done_is_one_line(
    words: tuple[str, ...], data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = run(capsys, *(word.format(tmp=tmp_path, data=data) for word in words), "--json")
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert not (tmp_path / "new").exists()
    assert not (tmp_path / "stick").exists()
