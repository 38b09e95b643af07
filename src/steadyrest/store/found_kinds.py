"""What can be found, kind by kind: which rows bear it, and what it is found by. A new kind is a row of KINDS."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from steadyrest.store.opening import Session

Says = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Told:
    """One thing that can be found.

    name: what it is called by, looked at first. title: how it is shown. says: (what it is, words), in the order of
    telling. address: the page on which it stands.
    """

    name: str
    title: str
    says: Says
    address: str


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of things.

    number: its place among the index's rows; never given to another. table: whose rows bear it. keys: SQL with one `?`,
    a row's id, that gives the keys of the things that row changes. every: SQL of all keys. told: one thing by its key;
    None where there is none any more.
    """

    name: str
    number: int
    table: str
    keys: str
    every: str
    told: Callable[[Session, int], Told | None]


def row(session: Session, asked: str, *given: object) -> Any:
    """One row, or None."""
    return session.exec_driver_sql(asked, given).first()


def said(*pairs: tuple[str, object]) -> Says:
    """Those of the pairs that say something."""
    return tuple((what, str(words)) for what, words in pairs if words not in (None, ""))


def day(moment: str) -> str:
    """The day of a kept moment."""
    return datetime.fromisoformat(moment).date().isoformat()


def job(session: Session, key: int) -> Told | None:
    found = row(
        session,
        "SELECT j.number, j.what, c.name FROM job j JOIN customer c ON c.id = j.customer_id WHERE j.id = ?",
        key,
    )
    if found is None:
        return None
    number, what, customer = found
    return Told(
        str(number),
        f"{number}: {what}",
        said(("job", number), ("what", what), ("customer", customer)),
        f"/jobs/{number}",
    )


def customer(session: Session, key: int) -> Told | None:
    found = row(session, "SELECT name FROM customer WHERE id = ?", key)
    if found is None:
        return None
    entries = session.exec_driver_sql("SELECT kind, body FROM customer_entry WHERE customer_id = ? ORDER BY id", (key,))
    known = {f"{kind} {name}": words for kind, body in entries for name, words in flat(body)}
    return Told(found[0], found[0], said(("customer", found[0]), *known.items()), f"/customers/{key}")


def flat(body: str) -> Iterator[tuple[str, str]]:
    """The words of an entry's body, each with its name."""
    for name, value in json.loads(body).items():
        if isinstance(value, str):
            yield name, value
        elif isinstance(value, list):
            yield name, ", ".join(str(one) for one in value if isinstance(one, str))


def part(session: Session, key: int) -> Told | None:
    found = row(
        session,
        "SELECT p.name, p.value, j.number, j.what, f.name FROM part p JOIN job j ON j.id = p.job_id "
        "LEFT JOIN file f ON f.sha256 = p.file_sha256 "
        "WHERE p.id = ? AND NOT EXISTS (SELECT 1 FROM part later WHERE later.job_id = p.job_id AND later.name = p.name "
        "AND later.revision > p.revision)",
        key,
    )
    if found is None:
        return None
    name, value, number, what, file = found
    return Told(
        name, f"{name}, job {number}",
        said(("part", name), ("sizes", ", ".join(sizes(value))), ("job", f"{number} {what}"),
             ("file", "" if file == name else file)),
        f"/jobs/{number}",
    )  # fmt: skip


def sizes(value: str) -> Iterable[str]:
    """A part's sizes as its drawing would show them, each once: "1-7/16 in", "36.5 mm", "60 deg"."""
    features = json.loads(value).get("value", {}).get("features", ())
    found: dict[str, None] = {}
    for feature in features:
        for size in feature.get("sizes", ()):
            nominal = size.get("nominal")
            if nominal is not None:
                found[str(nominal["shown"])] = None
                if "in" in str(nominal["shown"]).split() and isinstance(nominal["value"], int | float):
                    found[f"{nominal['value']:.6g} mm"] = None
    return found


def piece(session: Session, key: int) -> Told | None:
    bodies = session.exec_driver_sql(
        "SELECT p.label, m.kind, m.body FROM piece p JOIN movement m ON m.piece_id = p.id "
        "WHERE p.id = ? ORDER BY m.turn",
        (key,),
    ).all()
    if not bodies:
        return None
    now: dict[str, Any] = {}
    for _, _, body in bodies:
        now.update(json.loads(body))
    label, last = bodies[-1][0], bodies[-1][1]
    size = " x ".join(f"{one:.6g}" for one in now.get("size_mm", ()))
    what = f"{now.get('shape', '')} {size} mm".strip()
    return Told(
        label, f"{label}: {what} {now.get('material', '')}",
        said(("piece", label), ("what", what), ("metal", now.get("material")), ("place", now.get("place")),
             ("heat number", now.get("heat_number")), ("certificate", now.get("certificate")),
             ("owner", now.get("owner")), ("damage", now.get("damage")),
             ("state", {"gone": "gone", "missed": "not found when counted"}.get(last, ""))),
        f"/rack/{label}",
    )  # fmt: skip


def clock_note(session: Session, key: int) -> Told | None:
    found = row(
        session,
        "SELECT c.person, c.words, c.happened, j.number, j.what FROM clock c LEFT JOIN job j ON j.id = c.job_id "
        "WHERE c.id = ? AND c.words <> '' AND c.kind <> 'struck' "
        "AND NOT EXISTS (SELECT 1 FROM clock later WHERE later.replaces = c.id)",
        key,
    )
    if found is None:
        return None
    person, words, happened, number, what = found
    about = f"job {number}" if number is not None else "no job"
    address = f"/record/{number}" if number is not None else f"/clock?person={person}"
    return Told(
        "", f"{about}, {person}, {day(happened)}",
        said(("note", words), ("job", f"{number} {what}" if number is not None else ""), ("who", person)), address,
    )  # fmt: skip


# Words that entries of a job's ledger carry, by kind.
SPOKEN = {
    "answer": ("said",), "declined": ("why", "words"), "promised": ("words",), "ready": ("words",),
    "delivered": ("words",), "nonconforming": ("words",), "goods": ("what",), "travel": ("what",),
}  # fmt: skip
SPOKEN_KINDS = tuple(SPOKEN)


def spoken(session: Session, key: int) -> Told | None:
    found = row(
        session,
        "SELECT l.kind, l.who, l.happened, l.body, j.number, j.what FROM ledger l JOIN job j ON j.id = l.job_id "
        f"WHERE l.id = ? AND l.kind IN {SPOKEN_KINDS} "
        "AND NOT EXISTS (SELECT 1 FROM ledger later WHERE later.replaces = l.id)",
        key,
    )
    if found is None:
        return None
    kind, who, happened, body, number, what = found
    told = json.loads(body)
    words = ", ".join(str(told[name]) for name in SPOKEN[kind] if told.get(name))
    if not words:
        return None
    return Told(
        "", f"job {number}, {kind}, {day(happened)}",
        said((kind, words), ("job", f"{number} {what}"), ("who", who)), f"/jobs/{number}",
    )  # fmt: skip


def program(session: Session, key: int) -> Told | None:
    found = row(
        session,
        "SELECT l.happened, l.who, l.body FROM ledger l WHERE l.id = ? AND l.kind = 'program checked' "
        "AND NOT EXISTS (SELECT 1 FROM ledger later WHERE later.kind = l.kind AND later.id > l.id "
        "AND json_extract(later.body, '$.program') = json_extract(l.body, '$.program') "
        "AND json_extract(later.body, '$.machine') = json_extract(l.body, '$.machine'))",
        key,
    )
    if found is None:
        return None
    happened, who, body = found
    told = json.loads(body)
    return Told(
        str(told["program"]), f"{told['program']} on {told['machine']}",
        said(("program", told["program"]), ("machine", told["machine"]), ("checked", day(happened)), ("who", who)),
        f"/leave/{key}",
    )  # fmt: skip


def invoice(session: Session, key: int) -> Told | None:
    found = row(
        session,
        "SELECT i.number, i.total, i.currency, i.issued, c.name, j.number, j.what FROM invoice i "
        "JOIN customer c ON c.id = i.customer_id JOIN job j ON j.id = i.job_id WHERE i.id = ?",
        key,
    )
    if found is None:
        return None
    number, total, currency, issued, name, job_number, what = found
    return Told(
        str(number), f"invoice {number}, {name}, {total} {currency}",
        said(("invoice", number), ("customer", name), ("total", f"{total} {currency}"), ("issued", issued),
             ("job", f"{job_number} {what}")),
        f"/record/{job_number}/invoice/{number}.pdf",
    )  # fmt: skip


ITSELF = "SELECT ?"
SAME_PROGRAM = (
    "SELECT one.id FROM ledger this JOIN ledger one ON one.kind = this.kind AND one.id <= this.id "
    "AND json_extract(one.body, '$.program') = json_extract(this.body, '$.program') "
    "AND json_extract(one.body, '$.machine') = json_extract(this.body, '$.machine') "
    "WHERE this.id = ? AND this.kind = 'program checked' ORDER BY one.id DESC LIMIT 2"
)
KINDS = (
    Kind("jobs", 1, "job", ITSELF, "SELECT id FROM job", job),
    Kind("customers", 2, "customer", ITSELF, "SELECT id FROM customer", customer),
    Kind(
        "customers", 2, "customer_entry", "SELECT customer_id FROM customer_entry WHERE id = ?",
        "SELECT id FROM customer", customer,
    ),
    Kind(
        "parts", 3, "part",
        "SELECT one.id FROM part this JOIN part one ON one.job_id = this.job_id AND one.name = this.name "
        "WHERE this.id = ?",
        "SELECT id FROM part", part,
    ),
    Kind(
        "pieces", 4, "movement", "SELECT piece_id FROM movement WHERE id = ?", "SELECT id FROM piece", piece,
    ),
    Kind(
        "notes", 5, "clock",
        "SELECT e.id FROM clock c JOIN clock e ON e.id = c.id OR e.id = c.replaces WHERE c.id = ? AND e.words <> ''",
        "SELECT id FROM clock WHERE words <> ''", clock_note,
    ),
    Kind(
        "notes", 6, "ledger",
        f"SELECT e.id FROM ledger l JOIN ledger e ON e.id = l.id OR e.id = l.replaces "
        f"WHERE l.id = ? AND e.kind IN {SPOKEN_KINDS}",
        f"SELECT id FROM ledger WHERE kind IN {SPOKEN_KINDS}", spoken,
    ),
    Kind(
        "programs", 7, "ledger", SAME_PROGRAM,
        "SELECT max(id) FROM ledger WHERE kind = 'program checked' "
        "GROUP BY json_extract(body, '$.program'), json_extract(body, '$.machine')", program,
    ),
    Kind("invoices", 8, "invoice", ITSELF, "SELECT id FROM invoice", invoice),
)  # fmt: skip
