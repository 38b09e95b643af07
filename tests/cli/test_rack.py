"""The rack, the shop file and what was spent, from the command line: one document, one line of trouble, exit codes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from steadyrest.cli.main import status
from steadyrest.desk.place import open_place
from tests.store import sample

NOW = ("--now", "2026-11-27T18:00+01:00")
ADD = ("stock", "add", "round", "40", "--length", "3 m", "--material", "C45", "--place", "rack 2", "--by", "ines")


@pytest.fixture
def data(tmp_path: Path) -> Path:
    place = open_place(tmp_path / "data", None)
    with place.store.writing() as session:
        sample.job(session)
    place.close()
    return tmp_path / "data"


def answered(capsys: pytest.CaptureFixture[str], data: Path, *words: str | Path) -> dict[str, object]:
    code = status([*map(str, words), "--json", "--data", str(data), *NOW])
    out, err = capsys.readouterr()
    assert (code, err, out.count("\n")) == (0, "", 1)
    return json.loads(out)


def test_a_piece_comes_is_cut_for_a_job_and_tells_its_story(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    made = answered(capsys, data, *ADD, "--heat", "4711", "--cost", "62.00", "--label", "P7")
    assert (made["label"], made["length_mm"], made["heat_number"], made["turn"]) == ("P7", 3000, "4711", 1)
    left = answered(capsys, data, "stock", "use", "P7", "--length", "320", "--job", "101", "--by", "ines")
    assert (left["turn"], left["state"]) == (2, "here")
    answered(capsys, data, "stock", "move", "P7", "--place", "rack 4", "--by", "ambra", "--seen", "2")
    story = answered(capsys, data, "stock", "show", "P7")
    assert [one["kind"] for one in story["movements"]] == ["came", "cut", "moved"]  # type: ignore[attr-defined, index]
    found = answered(capsys, data, "stock", "list", "--yields", "39 x 2000", "--place", "rack 4")
    assert [one["label"] for one in found["pieces"]] == ["P7"]  # type: ignore[attr-defined, index]
    counted = answered(capsys, data, "stock", "count", "rack 4", "--by", "ines")
    assert counted["missing"] == ["P7"]
    record = answered(capsys, data, "paper", "record", "101")
    assert record["goods"] == record["total"] != "0.00"


def test_labels_are_written_and_their_codes_lead_to_the_pieces(
    data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    made = answered(capsys, data, "stock", "labels", "R1", "R2", "--out", tmp_path / "labels.pdf", "--skip", "23")
    assert (made["labels"], made["pages"]) == (["R1", "R2"], 2)
    assert (tmp_path / "labels.pdf").read_bytes().startswith(b"%PDF")


def test_the_shop_file_goes_out_is_changed_and_comes_in_with_who_and_why(
    data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "shop.toml"
    answered(capsys, data, "shop", "export", file)
    answered(capsys, data, "shop", "check", file)
    file.write_text(file.read_text().replace('charge_per_hour = "84.00"', 'charge_per_hour = "88.00"'))
    done = answered(capsys, data, "shop", "import", file, "--by", "ambra", "--why", "new rate")
    assert (done["changed"], done["before"]) == (True, 1)
    assert (data / "shop.toml").read_text() == file.read_text()
    assert answered(capsys, data, "shop", "import", file, "--by", "ambra")["changed"] is False
    versions = answered(capsys, data, "shop", "versions")["versions"]
    assert [(one["number"], one["by"], one["why"]) for one in versions] == [  # type: ignore[attr-defined, index]
        (1, "by hand", ""), (2, "ambra", "new rate"),
    ]  # fmt: skip
    answered(capsys, data, "shop", "export", tmp_path / "old.toml", "--version", "1")
    assert '"84.00"' in (tmp_path / "old.toml").read_text()
    assert answered(capsys, data, "shop", "show")["version"] == versions[-1]  # type: ignore[index]
    file.write_text("[shop]\nname = 3\n")
    before = (data / "shop.toml").read_bytes()
    assert status(["shop", "import", str(file), "--by", "ambra", "--data", str(data)]) == 2
    assert (data / "shop.toml").read_bytes() == before


def test_what_a_job_cost_is_written_down(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    noted = answered(capsys, data, "spent", "101", "hire of a crane", "--cost", "120.00", "--by", "ambra")
    assert (noted["kind"], noted["cost"], noted["job"]) == ("goods", "120.00", 101)


@pytest.mark.parametrize(
    "words",
    [
        ("stock", "list"),
        ("stock", "list", "--yields", "big", "--data", "{data}"),
        ("stock", "list", "R1", "--data", "{data}"),
        ("stock", "add", "round", "--by", "ines", "--data", "{data}"),
        (*ADD[:4], "--data", "{data}"),
        (*ADD, "--label", "R1", "--data", "{data}"),
        ("stock", "use", "P9", "--length", "3", "--by", "ines", "--data", "{data}"),
        ("stock", "use", "R1", "--length", "9 m", "--by", "ines", "--data", "{data}"),
        ("stock", "use", "R1", "--by", "ines", "--data", "{data}"),
        ("stock", "use", "R1", "--whole", "--job", "999", "--by", "ines", "--data", "{data}"),
        ("stock", "use", "R1", "--whole", "--seen", "7", "--by", "ines", "--data", "{data}"),
        ("stock", "move", "R1", "--by", "ines", "--data", "{data}"),
        ("stock", "count", "--by", "ines", "--data", "{data}"),
        ("stock", "labels", "--data", "{data}"),
        ("stock", "labels", "P9", "--out", "x.pdf", "--data", "{data}"),
        ("stock", "labels", "R1", "--sheet", "9x9", "--out", "x.pdf", "--data", "{data}"),
        ("stock", "cut"),
        ("shop", "show"),
        ("shop", "import", "none.toml", "--by", "ambra", "--data", "{data}"),
        ("shop", "export", "{data}/shop.toml", "--data", "{data}"),
        ("spent", "101", "x", "--by", "ines", "--data", "{data}"),
        ("spent", "999", "x", "--cost", "3", "--by", "ines", "--data", "{data}"),
        ("paper", "record", "999", "--data", "{data}"),
        ("paper", "record", "101"),
        ("paper", "invoice", "101", "--data", "{data}"),
        ("paper", "invoice", "101", "--by", "ines", "--hours", "--data", "{data}"),
    ],
)
def test_what_cannot_be_meant_is_one_line(
    words: tuple[str, ...], data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code = status([*(word.format(data=data) for word in words), "--json", *NOW])
    out, err = capsys.readouterr()
    assert (code, out, err.count("\n")) == (2, "", 1)


def test_parts_are_nested_on_a_plate_of_the_rack_and_what_is_left_goes_back(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from tests.web.test_nest import ELL, drawing

    file = data.parent / "ell.dxf"
    file.write_bytes(drawing(ELL))
    asked = ("stock", "nest", f"{file}=2", "--by", "ines", "--seconds", "3", "--plates")
    made = answered(capsys, data, *asked, "R15", "--cut")
    assert made["parts"] == [{"part": "ell", "count": 2, "placed": 2, "job": None}]
    (plate,) = made["plates"]  # pyright: ignore[reportGeneralTypeIssues]
    left = answered(capsys, data, "stock", "show", plate["left_piece"])
    assert left["piece"]["heat_number"] == plate["heat_number"] == "H 2090"  # pyright: ignore[reportIndexIssue]
    for wrong in ((*asked, "R15"), (*asked, "R16,R17")):
        assert status([*wrong, "--data", str(data), *NOW]) == 2
        out, err = capsys.readouterr()
        assert (out, err.count("\n")) == ("", 1)
