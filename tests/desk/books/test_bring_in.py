"""Lists are brought in whole or not at all, undone by entries, and what is given out comes in as it was."""

from __future__ import annotations

import zipfile
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as some

from steadyrest.desk.accounts.money_export import inert
from steadyrest.desk.books import bring_in, give_out
from steadyrest.desk.books.csv_rows import as_it_was, rows, written
from steadyrest.desk.place import Place, open_place
from steadyrest.store import clock, customers, imports, jobs, rack
from steadyrest.trouble import BadInput
from tests.web.workshop import NOW

CUSTOMERS = b"""name,called,address,contact,phone,mail,role,days_to_pay
Ferry office,,"Quay 1
Oldtown",R. Tarn,+1 555,tarn@ferry.example,mate,14
Ferry office,,,O. Brook,,,,
=cmd|' /C calc'!A0,,,,,,,
"""
PIECES = b"""label;shape;size;length;material;place;heat_number;cost
Q1;round;40;300 mm;C45;rack 2;H-77;12.50
;flat;60 x 10;1.5 m;C45;rack 3;;0
"""
HOURS = b"""person,start,stop,job,words
ambra,2026-11-25 08:00,2026-11-25 10:00,101,turned the seat
ambra,2026-11-25T10:00,2026-11-25T12:30,,swept
ines,2026-11-25T09:00+01:00,2026-11-25T11:00+01:00,101,
ines,2026-11-25T10:00+01:00,2026-11-25T10:30+01:00,102,beside it
"""
QUOTES = b"""job,step,station,person,estimate_s,rivals,won,actual_s
A7,1,turn,ambra,3600,1,1,4200
A8,1,mill,,5400,2,0,
"""
LISTS = {"customers": CUSTOMERS, "pieces": PIECES, "hours": HOURS, "quotes": QUOTES}


def opened(folder: Path) -> Place:
    """A data folder with two jobs."""
    place = open_place(folder, None)
    with place.store.writing() as session:
        for what in ("winch", "pump"):
            jobs.open_job(session, customer="Ferry office", what=what, due=NOW, charging="hours", now=NOW)
    return place


def bring(place: Place, what: str, data: bytes) -> int:
    return bring_in.bring_in(place.store, place.said.shop, what, f"{what}.csv", data, who="ambra", now=NOW)


def lists_of(place: Place):
    quotes = tuple(give_out.all_quotes(place.store, now=NOW))
    with place.store.reading() as session:
        return give_out.lists(session, quotes, now=NOW)


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory):
    """A folder with all four lists brought in."""
    place = opened(tmp_path_factory.mktemp("full") / "data")
    for what, data in LISTS.items():
        found = bring_in.preview(place.store, place.said.shop, what, "a.csv", data, now=NOW)
        assert found.faults == (), what
        bring(place, what, data)
    yield place
    place.close()


def test_what_is_brought_in_stands_in_the_book(full: Place) -> None:
    with full.store.reading() as session:
        about = customers.about(session, customers.by_name(session, "Ferry office"))  # pyright: ignore[reportArgumentType]
        hours = clock.entries(session, person="ines")
        shelf = rack.pieces(session)
    assert about.lines == ("Quay 1", "Oldtown")
    assert [one.name for one in about.contacts] == ["R. Tarn", "O. Brook"]
    assert [one.kind for one in hours] == ["start", "stop", "beside", "stop"]
    assert [(one.shape, one.length_mm) for one in shelf] == [("round", 300.0), ("flat", 1500.0)]


def test_what_is_given_out_comes_in_again_as_it_was(full: Place, tmp_path: Path) -> None:
    goal = tmp_path / "all.zip"
    given_out = give_out.give_out(full.store, full.said, goal, now=NOW)
    assert given_out.lost == ()
    with zipfile.ZipFile(goal) as archive:
        listed = {what: archive.read(f"lists/{what}.csv") for what in LISTS}
        names = archive.namelist()
    assert "ledgers/clock.csv" in names
    assert not [name for name in names if "pin" in name or "token" in name]
    assert b"\n'=cmd" in listed["customers"]  # no spreadsheet takes it for a formula
    again = opened(tmp_path / "again")
    for what, data in listed.items():
        bring(again, what, data)
    assert lists_of(again) == lists_of(full)
    again.close()


def test_the_same_list_again_makes_nothing(full: Place) -> None:
    found = bring_in.preview(full.store, full.said.shop, "customers", "a.csv", CUSTOMERS, now=NOW)
    assert (found.made, found.same) == ((), 3)
    found = bring_in.preview(full.store, full.said.shop, "hours", "a.csv", HOURS, now=NOW)
    assert (found.made, found.same) == ((), 4)
    with pytest.raises(BadInput):
        bring(full, "customers", CUSTOMERS)


@pytest.mark.parametrize(
    ("what", "data", "line", "column"),
    [
        ("customers", b"name,mail\nA,\nB,x\n", 3, "contact"),
        ("customers", b"name,contact,mail\nA,C,no address\n", 2, "mail"),
        ("customers", b"name,days_to_pay\nA,14\nA,30\n", 3, "days_to_pay"),
        ("pieces", b"shape,size,length,material,place\nround,40,1,C45,r\nround,x,1,C45,r\n", 3, "size"),
        ("pieces", b"shape,size,length,material,place\nround,40,1,unobtainium,r\n", 2, "material"),
        ("hours", b"person,start,stop\nnobody,2026-11-25 08:00,2026-11-25 09:00\n", 2, "person"),
        ("hours", b"person,start,stop\nambra,2026-11-25 08:00,2026-11-25 07:00\n", 2, "stop"),
        ("hours", b"person,start,stop\nambra,9999-12-31T23:59-12:00,2026-11-25 07:00\n", 2, "start"),
        ("hours", b"person,start,stop,job\nambra,2026-11-24 08:00,2026-11-24 09:00,999\n", 2, "job"),
        ("quotes", QUOTES.replace(b"5400", b"many"), 3, ""),
    ],
)  # fmt: skip
def test_a_fault_is_told_by_line_and_column_and_nothing_is_made(
    full: Place, what: str, data: bytes, line: int, column: str
) -> None:
    before = lists_of(full)
    found = bring_in.preview(full.store, full.said.shop, what, "a.csv", data, now=NOW)
    assert [(one.line, one.column) for one in found.faults] == [(line, column)]
    with pytest.raises(BadInput, match=f"line {line}"):
        bring(full, what, data)
    assert lists_of(full) == before


def test_undone_by_entries_the_book_is_as_before_but_for_names(tmp_path: Path) -> None:
    place = opened(tmp_path / "data")
    before = lists_of(place)
    for what, data in LISTS.items():
        bring(place, what, data)
    with place.store.reading() as session:
        made = imports.imports(session)
    for one in made:
        bring_in.undo(place.store, int(one.entry), who="ambra", now=NOW)
    after = lists_of(place)
    for what in ("pieces", "quotes", "hours"):
        assert after[what] == before[what] == []
    assert [one[1:] for one in after["customers"]] == [("",) * 7] * 2  # the name of a customer stays
    with pytest.raises(BadInput, match="undone already"):
        bring_in.undo(place.store, int(made[0].entry), who="ambra", now=NOW)
    place.close()


def test_what_something_was_built_on_is_not_undone(tmp_path: Path) -> None:
    place = opened(tmp_path / "data")
    entry = bring(place, "pieces", PIECES)
    with place.store.writing() as session:
        one = rack.pieces(session)[0]
        later = NOW + timedelta(hours=1)
        rack.move(session, one.id, 2, "moved", {"place": "bench"}, who="ines", happened=later, told=later)
    with pytest.raises(BadInput, match="happened to it since"):
        bring_in.undo(place.store, entry, who="ambra", now=later)
    assert len(lists_of(place)["pieces"]) == 2  # neither of the two
    place.close()


CELLS = some.text(some.characters(exclude_characters="\x00", exclude_categories=["Cs"]))


@settings(max_examples=60)
@given(some.lists(some.lists(CELLS, min_size=2, max_size=2), min_size=1, max_size=4))
@example([["=1+1", "'=x"], ["'", "''"], [" -3", "@\n"]])
def test_a_cell_made_inert_is_read_as_it_was(cells: list[list[str]]) -> None:
    text = written(("a", "b"), cells)
    assert all(as_it_was(inert(cell)) == cell for one in cells for cell in one)
    if any(cell.strip() for one in cells for cell in one):
        found = rows(text.encode(), where="a.csv", columns=("a", "b"), needed=("a", "b"))
        kept = [[cell.strip() for cell in one] for one in cells if any(inert(cell).strip() for cell in one)]
        assert [[one.cells["a"], one.cells["b"]] for one in found] == kept


@settings(max_examples=80)
@given(some.one_of(some.binary(max_size=200), some.text(max_size=200).map(lambda text: text.encode("utf-8", "ignore"))),
       some.sampled_from(sorted(LISTS)))  # fmt: skip
@example(b"\xff\xfe", "hours")
@example(b'name\n"open', "customers")
@example(b"name,name\nA,B\n", "customers")
@example(b"name\n" + b"x" * 6000, "customers")
def test_a_hostile_list_is_one_line(full: Place, data: bytes, what: str) -> None:
    try:
        found = bring_in.preview(full.store, full.said.shop, what, "a.csv", data, now=NOW)
        said = [one.said() for one in found.faults]
    except BadInput as trouble:
        said = [trouble.line()]
    assert not [line for line in said if "\n" in line]
