"""The index: what anything in the data folder is found by, kept in the transaction that adds its row.

A row of the full-text table `found` for each thing; its rowid says the kind (upper bits) and the thing's key, so that
one kind is one stretch of rows, and the newest come first without sorting.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from steadyrest.store import found_words
from steadyrest.store.found_kinds import KINDS, Kind, Says, Told

if TYPE_CHECKING:
    from steadyrest.store.opening import Session

VERSION = 2
SHIFT = 40
MOST_WORDS = 12
NEAREST = 3  # words tried in place of one that is found nowhere
INTO = "INSERT INTO found (rowid, name, words, title, says, address) VALUES (?, ?, ?, ?, ?, ?)"
Row = tuple[int, str, str, str, str, str]


@dataclass(frozen=True, slots=True)
class Hit:
    """One thing found. kind: its kind's name. says: as Told has it."""

    kind: str
    title: str
    says: Says
    address: str


def note(session: Session, table: str, row: int) -> None:
    """Bring the index up to a row that was just added.

    Args:
        session: the transaction that added it.
        table, row: its table's name and its id.
    """
    for kind in KINDS:
        if kind.table == table:
            for (key,) in session.exec_driver_sql(kind.keys, (row,)).all():
                put(session, kind, int(key))


def put(session: Session, kind: Kind, key: int) -> None:
    """One thing of the index anew."""
    session.exec_driver_sql("DELETE FROM found WHERE rowid = ?", (kind.number << SHIFT | key,))
    told = kind.told(session, key)
    if told is not None:
        session.exec_driver_sql(INTO, as_row(kind, key, told))


def as_row(kind: Kind, key: int, told: Told) -> Row:
    """One thing as a row of the index."""
    number = kind.number << SHIFT | key
    words = found_words.kept_as(spoken(told.says))
    says = json.dumps(told.says, ensure_ascii=False, separators=(",", ":"))
    return number, found_words.kept_as((told.name,)), words, told.title, says, told.address


def spoken(says: Says) -> tuple[str, ...]:
    """What a thing is found by: its words, and what they are, so that "heat 88412" finds it too."""
    return (*(words for _, words in says), *(what for what, _ in says if what != "what"))


def every(session: Session) -> Iterator[Row]:
    """The whole index as the rows say it."""
    done: set[int] = set()
    for kind in KINDS:
        if kind.number in done:
            continue
        done.add(kind.number)
        for (key,) in session.exec_driver_sql(kind.every).all():
            told = kind.told(session, int(key))
            if told is not None:
                yield as_row(kind, int(key), told)


def anew(session: Session) -> None:
    """Make the index anew from the rows."""
    session.exec_driver_sql("DELETE FROM found")
    for row in every(session):
        session.exec_driver_sql(INTO, row)
    session.exec_driver_sql("INSERT INTO found (found) VALUES ('optimize')")


def differs(session: Session) -> Iterator[tuple[str, str]]:
    """What the index says otherwise than the rows.

    Args:
        session: a transaction.
    Yields: where, and what is wrong.
    """
    asked = "SELECT rowid, name, words, title, says, address FROM found"
    kept = {row[0]: tuple(row) for row in session.exec_driver_sql(asked)}
    names = {kind.number: kind.name for kind in KINDS}
    for row in every(session):
        if kept.pop(row[0], None) != row:
            yield f"found, {named(row[0], names)}", "is not what its rows say"
    for number in kept:
        yield f"found, {named(number, names)}", "is of something that is not there"


def named(number: int, names: Mapping[int, str]) -> str:
    """A row of the index in words."""
    return f"{names.get(number >> SHIFT, 'unknown')} {number & (1 << SHIFT) - 1}"


# ---- asking ------------------------------------------------------------------------------------------------------


def expression(words: Sequence[Sequence[str]], *, whole: bool, name: bool = False) -> str:
    """What the full-text table is asked.

    Args:
        words: of each word the ways in which it may stand there; all of them must.
        whole: whole words only; else what begins so is enough.
        name: only in what things are called by.
    Returns: an expression of FTS5; nothing typed can be anything but a string in it.
    """
    ends = "" if whole else "*"
    each = " AND ".join(f"({' OR '.join(one_way(way, ends) for way in ways)})" for ways in words)
    return f"name : ({each})" if name else each


def one_way(way: str, ends: str) -> str:
    """One word, or several that stand for it, all of which must be there."""
    return "(" + " AND ".join(f'"{part}"{ends}' for part in way.replace('"', " ").split()) + ")"


def ways(word: str) -> tuple[str, ...]:
    """The ways in which a typed word may stand in the index: whole, in each reading, or in its parts."""
    parts = found_words.parts(word)
    return (*found_words.readings(word), *((" ".join(parts),) if parts else ()))


def hits(session: Session, words: Sequence[Sequence[str]], kind: Kind, *, most: int) -> tuple[Hit, ...]:
    """Things of one kind in which all words stand: by name first, then whole words, then what begins so; newest first.

    Args:
        session: a transaction.
        words: of each word the ways in which it may stand.
        kind: of KINDS.
        most: how many.
    Returns: each once.
    """
    if not words:
        return ()
    low, high = kind.number << SHIFT, (kind.number + 1) << SHIFT
    found: dict[int, Hit] = {}
    for asked in (
        expression(words, whole=True, name=True),
        expression(words, whole=True),
        expression(words, whole=False),
    ):
        if len(found) >= most:
            break
        rows = session.exec_driver_sql(
            "SELECT rowid, title, says, address FROM found WHERE found MATCH ? AND rowid >= ? AND rowid < ? "
            "ORDER BY rowid DESC LIMIT ?",
            (asked, low, high, most),
        )
        for number, title, says, address in rows:
            if len(found) < most and number not in found:
                found[number] = Hit(kind.name, title, tuple((a, b) for a, b in json.loads(says)), address)
    return tuple(found.values())


def stands_anywhere(session: Session, way: str) -> bool:
    """Whether any thing has a word that begins so."""
    asked = "SELECT 1 FROM found WHERE found MATCH ? LIMIT 1"
    return session.exec_driver_sql(asked, (one_way(way, "*"),)).first() is not None


def near(session: Session, word: str) -> tuple[str, ...]:
    """Words of the index that are one slip of the hand away.

    Args:
        session: a transaction.
        word: folded.
    Returns: at most NEAREST, those that stand in most things first; none for a word with a digit.
    """
    tried = sorted(found_words.one_letter_off(word))
    if not tried:
        return ()
    marks = ", ".join("?" * len(tried))
    asked = f"SELECT term FROM found_vocabulary WHERE term IN ({marks}) ORDER BY doc DESC, term LIMIT {NEAREST}"
    known = tuple(str(term) for (term,) in session.exec_driver_sql(asked, tuple(tried)))
    if known:
        return known
    begins = (one for one in tried if len(one) >= 4 and stands_anywhere(session, one))
    return tuple(one for one, _ in zip(begins, range(NEAREST), strict=False))
