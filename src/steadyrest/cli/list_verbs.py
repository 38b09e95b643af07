"""Verbs about lists: bring them in with a look first, undo, give everything out.

Desk and its rooms are imported inside the functions: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from steadyrest.cli.clock_verb import named
from steadyrest.cli.shared import Verb, out
from steadyrest.trouble import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable

    from steadyrest.cli.answers import Json
    from steadyrest.desk.place import Place

KINDS = ("customers", "pieces", "quotes", "hours")
SHOWN = 20


def import_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("what", choices=(*KINDS, "list", "undo"), help="which list; or those brought in; or undo one")
    one.add_argument("file", nargs="?", metavar="FILE.csv", help="the list; undo: the number of the import")
    one.add_argument("--apply", action="store_true", help="write it; without this it is only shown")
    one.add_argument("--by", metavar="P", help="who says so; needed to write")


def import_(asked: argparse.Namespace) -> int:
    from steadyrest.desk.place import open_place

    if asked.data is None:
        raise BadInput(where="--data", what="no data folder was named.", do="Name the shop's.")
    if asked.what != "list" and asked.file is None:
        raise BadInput(where=f"steadyrest import {asked.what}", what="it is not said which.", do="Name it.")
    place = open_place(asked.data, asked.shop)
    try:
        act = {"list": listed, "undo": undone}.get(asked.what, brought)
        document, lines = act(asked, place)
    finally:
        place.close()
    if asked.json:
        out(document)
    else:
        print("\n".join(lines))
    return 0


def listed(_asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    """Every list that was brought in."""
    from steadyrest.desk.books import bring_in
    from steadyrest.wording.moments import moment

    found = bring_in.all_imports(place.store)
    zone = place.said.shop.timezone
    document: list[Json] = [
        {"import": int(one.entry), "what": one.what, "file": one.file, "rows": one.rows, "when": one.when.isoformat(),
         "who": one.who, "undone": one.undone}
        for one in found
    ]  # fmt: skip
    lines = [
        f"{int(one.entry)}: {one.what} from {one.file}, {one.rows} rows, {moment(one.when, zone)}, by {one.who}"
        + (", undone" if one.undone else "")
        for one in found
    ]
    return {"imports": document}, lines or ["Nothing was brought in."]


def undone(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    """Take one back."""
    from steadyrest.desk.books import bring_in

    text = str(asked.file)
    if not (text.isascii() and text.isdecimal() and len(text) < 16):
        raise BadInput(where="steadyrest import undo", what=f"{text[:20]!r} is no number.", do="See import list.")
    one = bring_in.undo(place.store, int(text), who=named(asked.by), now=asked.now)
    return {"import": int(one.entry), "undone": True}, [f"Undone: {one.what} from {one.file}."]


def brought(asked: argparse.Namespace, place: Place) -> tuple[Json, Iterable[str]]:
    """Show what a list would make, or write it."""
    from steadyrest.desk.books import bring_in

    file = Path(asked.file)
    try:
        data = file.read_bytes()
    except OSError as fault:
        what = f"cannot be read ({fault.strerror})."
        raise BadInput(where=str(file), what=what, do="Check the name.") from None
    store, shop = place.store, place.said.shop
    found = bring_in.preview(store, shop, asked.what, file.name, data, now=asked.now)
    entry = None
    if asked.apply:
        entry = bring_in.bring_in(store, shop, asked.what, file.name, data, who=named(asked.by), now=asked.now)
    faults: list[Json] = [
        {"line": one.line, "column": one.column, "what": one.what, "do": one.do} for one in found.faults
    ]
    made: list[Json] = [{"line": one.line, "says": one.says} for one in found.made]
    document: Json = {
        "what": found.what, "rows": found.read, "made": made, "same": found.same, "faults": faults, "import": entry,
    }  # fmt: skip
    return document, preview_lines(found, entry)


def preview_lines(found: object, entry: int | None) -> list[str]:
    """A preview for a person."""
    from steadyrest.desk.books.bring_in import Preview

    assert isinstance(found, Preview)
    lines = [f"line {one.line}: {one.says}" for one in found.made[:SHOWN]]
    if len(found.made) > SHOWN:
        lines.append(f"and {len(found.made) - SHOWN} more")
    if found.same:
        lines.append(f"{found.same} of {found.read} rows stand in the book already, as they are.")
    lines += [f"At fault, {one.said()}" for one in found.faults]
    if entry is not None:
        lines.append(f"Brought in; to take it back: steadyrest import undo {entry}")
    elif found.faults:
        lines.append("Nothing was written: mend the file first. It is brought in whole or not at all.")
    else:
        lines.append("Nothing was written: this is what would be made. With --apply it is.")
    return lines


def export_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("file", type=Path, metavar="FILE.zip", help="the archive; nothing is overwritten")


def export(asked: argparse.Namespace) -> int:
    from steadyrest.desk.books import give_out
    from steadyrest.desk.place import open_place

    if asked.data is None:
        raise BadInput(where="--data", what="no data folder was named.", do="Name the shop's.")
    place = open_place(asked.data, asked.shop)
    try:
        made = give_out.give_out(place.store, place.said, asked.file, now=asked.now)
    finally:
        place.close()
    if asked.json:
        out({"file": str(made.path), "rows": dict(made.rows), "files": made.files, "lost": list(made.lost)})
    else:
        for name, count in made.rows:
            if count:
                print(f"{name}: {count} rows")
        print(f"{made.files} files as they were, in {made.path}")
        for sha256 in made.lost:
            print(f"Gone: file {sha256}. Look with `steadyrest verify`.")
    return 0


LISTS = (
    Verb(
        "import",
        "Bring in a list (customers, pieces, quotes, hours): first what it would make, then all of it or nothing.",
        "steadyrest import customers old-customers.csv --apply --by ambra --data shop-data",
        import_flags,
        import_,
    ),
    Verb(
        "export",
        "Everything in open formats in one archive: lists, every ledger as CSV, every file as it was.",
        "steadyrest export everything.zip --data shop-data",
        export_flags,
        export,
    ),
)
