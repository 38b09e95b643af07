"""Customers and money from the command line: one document, one line of trouble, exit codes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from steadyrest.cli.main import status
from steadyrest.desk.place import open_place
from tests.store import sample

NOW = ("--now", "2026-11-27T18:00+01:00")
WHO = "Lamplight Playhouse"


@pytest.fixture(scope="module")
def data(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("owed") / "data"
    place = open_place(folder, None)
    with place.store.writing() as session:
        sample.job(session)
    place.close()
    return folder


def asked(capsys: pytest.CaptureFixture[str], data: Path, *words: str | Path) -> tuple[int, str, str]:
    code = status([*map(str, words), "--data", str(data), *NOW])
    return (code, *capsys.readouterr())


def answered(capsys: pytest.CaptureFixture[str], data: Path, *words: str | Path) -> dict[str, object]:
    code, out, err = asked(capsys, data, *words, "--json")
    assert (code, err, out.count("\n")) == (0, "", 1)
    return json.loads(out)


def test_from_an_invoice_to_the_accountants_list(
    data: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    by = ("--by", "ambra")
    said = answered(capsys, data, "customer", "terms", WHO, "--days", "30", "--deposit", "20", *by)
    assert (said["number"], said["terms"]["days"], said["terms"]["deposit"]) == (1, 30, "0.2")  # type: ignore[index]
    answered(capsys, data, "customer", "contact", "1", "Orla", "--mail", "orla@play.example", *by)
    answered(capsys, data, "spent", "101", "hire of a crane", "--cost", "120.00", *by)
    invoice = answered(capsys, data, "paper", "invoice", "101", "--hours", *by)
    assert (invoice["invoice"], invoice["total"], invoice["due"]) == (1, "120.00", "2026-12-27")
    pay = ("owed", "pay", "--invoice", "1", "--amount", "20", "--reference", "AB 1", *by)
    first, again = (answered(capsys, data, *pay) for _ in range(2))
    assert first == again
    answered(capsys, data, "owed", "credit", "--invoice", "1", "--amount", "5", "--why", "late", *by)
    found = answered(capsys, data, "owed", "list")
    assert (found["owed"], found["heaps"]["not_due"]) == ("95.00", "95.00")  # type: ignore[index]
    assert [one["open"] for one in found["customers"][0]["invoices"]] == ["95.00"]  # type: ignore[index]
    answered(capsys, data, "owed", "strike", "1", "--why", "wrong", *by)
    story = answered(capsys, data, "customer", "show", WHO)
    assert story["account"]["owed"] == "115.00"  # type: ignore[index]
    out = tmp_path / "money.csv"
    assert answered(capsys, data, "owed", "export", "--out", out)["rows"] == 2
    assert out.read_bytes().startswith(b"\xef\xbb\xbfday,kind,")
    code, words, _ = asked(capsys, data, "owed", "list")
    assert (code, "no advice on tax" in words, "115.00 EUR" in words) == (0, True, True)
    code, words, _ = asked(capsys, data, "customer", "show", "1")
    assert (code, "Orla, orla@play.example" in words, "pays within 30 days" in words) == (0, True, True)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("owed", "pay", "--by", "ambra"), "say where it goes"),
        (("owed", "pay", "--invoice", "9", "--by", "ambra"), "no such"),
        (("owed", "strike", "x", "--by", "ambra"), "is no number"), (("owed", "export"), "not said where"),
        (("owed", "show"), "name a customer"), (("customer", "show", "nobody"), "no such customer"),
        (("customer", "terms", "1", "--days", "x", "--by", "ambra"), "no number of days"),
        (("owed", "list", "x"), "too much"),
        (("customer", "certificate", "1", "7", "--file", "/nowhere", "--by", "ambra"), "cannot be read"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_one_line_and_exit_status_2(
    data: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], says: str
) -> None:
    code, out, err = asked(capsys, data, *words)
    assert (code, out, err.count("\n"), says in err) == (2, "", 1, True)
