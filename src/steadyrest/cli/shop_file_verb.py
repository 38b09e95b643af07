"""The verb `shop`: the shop file shown, checked, out, in, its versions; and the rules of thumb of the trade.

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
    from steadyrest.cli.answers import Json
    from steadyrest.desk.place import Place
    from steadyrest.shop.floor import Shop
    from steadyrest.store.shop_versions import ShopVersion

WHAT = ("show", "check", "export", "import", "versions", "rules")
WHAT_HELP = (
    "show: the shop in few words; check FILE; export FILE: write it there; import FILE: put it in place of the data "
    "folder's own; versions: who changed it when; rules [WORDS]: rules of thumb"
)


def shop_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("what", choices=WHAT, help=WHAT_HELP)
    one.add_argument("more", nargs="*", metavar="FILE.toml", help="the file; or the words that a rule is sought by")
    one.add_argument("--by", metavar="P", help="import: who changes it")
    one.add_argument("--why", default="", metavar="WORDS", help="import: why")
    one.add_argument("--version", type=int, metavar="N", help="export: an older one")
    one.add_argument("--machine", default="", metavar="M", help="rules: for this machine")
    one.add_argument("--metal", default="", metavar="X", help="rules: for this metal")


def shop(asked: argparse.Namespace) -> int:
    if asked.what == "rules":
        return rules(asked)
    if asked.what in ("check", "export", "import") and len(asked.more) != 1:
        raise BadInput(where=f"steadyrest shop {asked.what}", what="name one file.", do="See --help.")
    if asked.what in ("show", "versions") and asked.more:
        raise BadInput(where=f"steadyrest shop {asked.what}", what=f"{asked.more[0]!r} is too much.", do="See --help.")
    document, lines = checked(asked) if asked.what == "check" else with_place(asked)
    if asked.json:
        out(document)
    else:
        print("\n".join(lines))
    return 0


def rules(asked: argparse.Namespace) -> int:
    from steadyrest.cli.rules_words import rules_answer, rules_lines
    from steadyrest.desk.books.rules import find_rules
    from steadyrest.desk.which_shop import which_shop

    said = which_shop(asked.shop, asked.data)
    found = find_rules(" ".join(asked.more), machine=asked.machine, metal=asked.metal, shop=said.shop)
    if asked.json:
        out(rules_answer(found))
    else:
        print("\n".join(rules_lines(found)))
    return 0


def checked(asked: argparse.Namespace) -> tuple[Json, list[str]]:
    from steadyrest.desk.books import shop_book

    found = shop_book.check(Path(asked.more[0]))
    return {"right": True, **shop_document(found)}, [f"{asked.more[0]}: right", *shop_lines(found)]


def with_place(asked: argparse.Namespace) -> tuple[Json, list[str]]:
    from steadyrest.desk.place import open_place

    if asked.data is None:
        raise BadInput(where="--data", what="no data folder was named.", do="Name the shop's.")
    place = open_place(asked.data, asked.shop)
    try:
        return ACTS[asked.what](asked, place)
    finally:
        place.close()


def shown(asked: argparse.Namespace, place: Place) -> tuple[Json, list[str]]:
    del asked
    from steadyrest.desk.books import shop_book

    versions = shop_book.history(place.store)
    last = versions[-1] if versions else None
    document = {**shop_document(place.said.shop), "version": version_document(last) if last else None}
    return document, [*shop_lines(place.said.shop), *([version_line(last)] if last else [])]


def exported(asked: argparse.Namespace, place: Place) -> tuple[Json, list[str]]:
    from steadyrest.desk.books import shop_book

    file = Path(asked.more[0])
    text = shop_book.export(place, version=asked.version)
    try:
        with open(file, "x", encoding="utf-8", newline="\n") as goal:
            goal.write(text)
    except FileExistsError:
        raise BadInput(where=str(file), what="is there already.", do="Choose a new name; nothing is lost.") from None
    except OSError as fault:
        raise BadInput(where=str(file), what=f"cannot be written ({fault.strerror}).", do="Choose another.") from None
    return {"file": str(file), "bytes": len(text.encode())}, [f"{file}: written"]


def imported(asked: argparse.Namespace, place: Place) -> tuple[Json, list[str]]:
    from steadyrest.desk.books import shop_book

    done = shop_book.import_file(place, Path(asked.more[0]), who=named(asked.by), why=asked.why, now=asked.now)
    document = {"changed": done.changed, "before": done.before or None, "version": version_document(done.version)}
    words = (
        version_line(done.version) if done.changed else f"the same as version {done.version.number}: nothing changed"
    )
    return document, [words, "What runs already goes on with the shop it began with; start it again."]


def listed(asked: argparse.Namespace, place: Place) -> tuple[Json, list[str]]:
    del asked
    from steadyrest.desk.books import shop_book

    versions = shop_book.history(place.store)
    return {"versions": [version_document(one) for one in versions]}, [version_line(one) for one in versions]


ACTS = {"show": shown, "export": exported, "import": imported, "versions": listed}


def shop_document(found: Shop) -> dict[str, Json]:
    """A shop in few words."""
    return {
        "name": found.name, "currency": found.currency, "timezone": found.timezone, "unit": found.unit,
        "people": [person.id for person in found.people], "machines": [machine.id for machine in found.machines],
        "pieces": len(found.pieces), "suppliers": [one.id for one in found.suppliers],
        "vendors": [one.id for one in found.vendors], "gauges": [one.id for one in found.gauges],
        "promised": [one.id for one in found.promised],
    }  # fmt: skip


def shop_lines(found: Shop) -> list[str]:
    return [
        f"{found.name}, {found.currency}, {found.timezone}",
        f"people: {', '.join(person.name for person in found.people)}",
        f"machines: {', '.join(f'{machine.id} ({machine.name})' for machine in found.machines)}",
        f"{len(found.pieces)} pieces, {len(found.gauges)} gauges, {len(found.promised)} jobs promised in the file",
    ]


def version_document(one: ShopVersion) -> Json:
    return {"number": one.number, "by": one.who, "when": one.told.isoformat(), "why": one.why, "sha256": one.sha256}


def version_line(one: ShopVersion) -> str:
    why = f": {one.why}" if one.why else ""
    return f"version {one.number}, {one.who}, {one.told.isoformat(timespec='minutes')}{why}"


SHOP_FILE = (
    Verb(
        "shop",
        "The shop file: shown, checked, out and in, with who changed it when; and the trade's rules of thumb.",
        'steadyrest shop import shop.toml --by ambra --why "new rate" --data shop-data',
        shop_flags,
        shop,
    ),
)
