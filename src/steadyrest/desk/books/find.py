"""Find: one question over everything that is kept, and over the rules of thumb; with where the words stand."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from steadyrest.shop.floor import Piece, Shop
from steadyrest.store import folds, found, found_words
from steadyrest.store.found import Hit
from steadyrest.store.found_kinds import KINDS
from steadyrest.store.opening import Session, Store
from steadyrest.tables.practice import rules, unit_of
from steadyrest.trouble import BadInput

Ways = tuple[str, ...]
AT_ONCE, ALL = 5, 100
AROUND = 60  # signs told on either side of where a word stands
LONGEST = 200
RECORD, JOB = "/record/", "/jobs/"


@dataclass(frozen=True, slots=True)
class Stands:
    """Where words stand. what: such as "heat number". bits: (text, whether it was asked for), one after the other."""

    what: str
    bits: tuple[tuple[str, bool], ...]


@dataclass(frozen=True, slots=True)
class FoundRow:
    title: str
    address: str
    where: tuple[Stands, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """What was found of one kind. more: there is more of it than is told."""

    kind: str
    rows: tuple[FoundRow, ...]
    more: bool


@dataclass(frozen=True, slots=True)
class Found:
    """asked: as typed. instead: (word, words looked for in its place) where nothing had the words as typed.

    alone: where nothing has all words, those words that something has.
    """

    asked: str
    groups: tuple[Group, ...]
    instead: tuple[tuple[str, Ways], ...] = ()
    alone: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Beside:
    """Something that stands in no row: a rule of thumb, a piece of the shop file. name, words: as in the index."""

    hit: Hit
    name: frozenset[str]
    words: frozenset[str]


@dataclass(frozen=True, slots=True)
class KindFound:
    """A kind of things, in the order of the page. owner: with money in it, so an owner's alone."""

    name: str
    owner: bool = False


ORDER = (
    KindFound("jobs"), KindFound("customers", owner=True), KindFound("parts"), KindFound("pieces"), KindFound("notes"),
    KindFound("programs"), KindFound("invoices", owner=True), KindFound("rules"),
)  # fmt: skip


def find(store: Store, shop: Shop, text: str, *, only: str = "", owner: bool = True) -> Found:
    """What is found by words.

    Args:
        store: an open data folder.
        shop: its rules and pieces are looked through too, and its metals' other names are known.
        text: words as typed; each must stand in a thing, or begin a word there.
        only: one kind, told at length; "" for all.
        owner: an owner reads it; else what shows money is left out.
    Returns: kind by kind.
    Raises: BadInput: there is no such kind.
    """
    kinds = tuple(kind.name for kind in ORDER if owner or not kind.owner)
    if only and only not in kinds:
        raise BadInput(where="find", what=f"there is no kind {only[:40]!r}.", do=f"One of: {', '.join(kinds)}.")
    words = found_words.asked(text[:LONGEST])[: found.MOST_WORDS]
    if not words:
        return Found(text, ())
    metals = names_of_metals(shop)
    ways = {word: (*found.ways(word), *metals.get(word, ())) for word in words}
    with store.reading() as session:
        look = _look(session, shop, kinds=(only,) if only else kinds, most=ALL if only else AT_ONCE)
        groups = look(ways)
        instead: Mapping[str, Ways] = {}
        if not groups:
            instead = {word: tried for word in words if not look({word: ways[word]}) and (tried := near(session, word))}
            groups = look({**ways, **instead}) if instead else ()
        alone = () if groups else tuple(word for word in words if len(words) > 1 and look({word: ways[word]}))
    groups = groups if owner else tuple(_for_a_hand(group) for group in groups)
    return Found(text, groups, tuple(instead.items()) if groups else (), alone)


def _look(
    session: Session, shop: Shop, *, kinds: Sequence[str], most: int
) -> Callable[[Mapping[str, Ways]], tuple[Group, ...]]:
    """How words are looked for in these kinds."""
    beside = {"rules": of_rules(), "pieces": of_file(session, shop)}

    def look(ways: Mapping[str, Ways]) -> tuple[Group, ...]:
        asked = tuple(ways.values())
        groups: list[Group] = []
        for name in kinds:
            hits = [hit for kind in by_number(name) for hit in found.hits(session, asked, kind, most=most + 1)]
            hits += in_memory(beside.get(name, ()), asked)
            if hits:
                rows = tuple(row(hit, asked) for hit in hits[:most])
                groups.append(Group(name, rows, len(hits) > most))
        return tuple(groups)

    return look


def by_number(name: str) -> tuple[found.Kind, ...]:
    """The rows of KINDS of one name, each number once."""
    return tuple({kind.number: kind for kind in KINDS if kind.name == name}.values())


def near(session: Session, word: str) -> Ways:
    """Words one slip of the hand away, of the index or of what stands beside it."""
    tried = found_words.one_letter_off(word)
    known = {one for beside in of_rules() for one in beside.words}
    return tuple(dict.fromkeys((*found.near(session, word), *sorted(tried & known)[: found.NEAREST])))


def _for_a_hand(group: Group) -> Group:
    """The same, leading to pages that a hand may open."""
    rows = tuple(
        replace(one, address=JOB + one.address.removeprefix(RECORD)) if one.address.startswith(RECORD) else one
        for one in group.rows
    )
    return replace(group, rows=rows)


def index_anew(store: Store) -> None:
    """Make the index, and the other folds, anew from the rows."""
    with store.writing() as session:
        folds.make_anew(session)


# ---- what stands beside the rows ----------------------------------------------------------------------------------


def in_memory(many: Sequence[Beside], asked: Sequence[Ways]) -> list[Hit]:
    """Those in which all words stand: by name first, then whole words, then what begins so."""

    def rank(one: Beside) -> int | None:
        for k, (words, whole) in enumerate(((one.name, True), (one.words, True), (one.words, False))):
            if all(any(stands(words, way, whole=whole) for way in ways) for ways in asked):
                return k
        return None

    ranked = [(k, number, one.hit) for number, one in enumerate(many) if (k := rank(one)) is not None]
    return [hit for _, _, hit in sorted(ranked, key=lambda each: each[:2])]


def stands(words: frozenset[str], way: str, *, whole: bool) -> bool:
    """Whether every part of a way stands among words, or begins one."""
    return all(part in words or (not whole and any(one.startswith(part) for one in words)) for part in way.split())


def beside(hit: Hit, name: str) -> Beside:
    kept = (name, *(found.spoken(hit.says) if hit.kind != "rules" else (words for _, words in hit.says)))
    return Beside(hit, frozenset(found_words.kept_as((name,)).split()), frozenset(found_words.kept_as(kept).split()))


@lru_cache(maxsize=1)
def of_rules() -> tuple[Beside, ...]:
    """Every rule of thumb."""
    found_rules: list[Beside] = []
    for key, one in sorted(rules().items()):
        name, value = key.replace("_", " "), f"{one.value:g} {unit_of(key)}".strip()
        says = (("rule", one.note), ("value", value), ("machines", ", ".join(one.machines)))
        hit = Hit("rules", f"{name}: {value}", tuple(pair for pair in says if pair[1]), f"/rules?words={key}")
        found_rules.append(beside(hit, name))
    return tuple(found_rules)


def of_file(session: Session, shop: Shop) -> tuple[Beside, ...]:
    """The pieces of the shop file that nothing has happened to yet."""
    if not shop.pieces:
        return ()
    marks = ", ".join("?" * len(shop.pieces))
    asked = f"SELECT label FROM piece WHERE label IN ({marks})"
    known = {label for (label,) in session.exec_driver_sql(asked, tuple(one.id for one in shop.pieces))}
    return tuple(one for label, one in pieces_of(shop.pieces) if label not in known)


@lru_cache(maxsize=4)
def pieces_of(pieces: tuple[Piece, ...]) -> tuple[tuple[str, Beside], ...]:
    def one_piece(one: Piece) -> Beside:
        what = f"{one.shape} {' x '.join(f'{mm:.6g}' for mm in one.size_mm)} mm"
        says = (
            ("piece", one.id), ("what", what), ("metal", one.material), ("place", one.place),
            ("heat number", one.heat_number),
        )  # fmt: skip
        told = tuple(pair for pair in says if pair[1])
        return beside(Hit("pieces", f"{one.id}: {what} {one.material}", told, f"/rack/{one.id}"), one.id)

    return tuple((one.id, one_piece(one)) for one in pieces)


def names_of_metals(shop: Shop) -> Mapping[str, Ways]:
    """A word that is another name of a metal, to the name under which pieces are kept."""
    known: dict[str, Ways] = {}
    for metal in shop.materials:
        kept = " ".join(found_words.asked(metal.id))
        for name in (metal.name, *metal.other_names):
            words = found_words.asked(name)
            if len(words) == 1 and kept and words[0] != kept:
                known[words[0]] = (*known.get(words[0], ()), kept)
    return known


# ---- where the words stand -----------------------------------------------------------------------------------------


def row(hit: Hit, asked: Sequence[Ways]) -> FoundRow:
    """A thing found, with where the words stand in it."""
    begins = tuple({part for ways in asked for way in ways for part in way.split()})
    told = (Stands(what, marked(words, begins)) for what, words in hit.says)
    return FoundRow(hit.title, hit.address, tuple(one for one in told if any(on for _, on in one.bits)))


def marked(text: str, begins: tuple[str, ...]) -> tuple[tuple[str, bool], ...]:
    """A text in bits, those words marked that begin as asked; a long one only around the first of them."""
    whole = unicodedata.normalize("NFC", text)
    spots = [(one.start(), one.end()) for one in found_words.WORD.finditer(whole) if _meant(one.group(), begins)]
    if not spots:
        return ((whole, False),)
    low, high = max(spots[0][0] - AROUND, 0), spots[0][1] + AROUND
    low = 0 if low < AROUND // 2 else low
    high = len(whole) if len(whole) - high < AROUND // 2 else high
    return tuple(_bits(whole, [spot for spot in spots if spot[1] <= high], low, high))


def _meant(word: str, begins: tuple[str, ...]) -> bool:
    return any(one.startswith(begins) for one in found_words.kept_as((word,)).split())


def _bits(whole: str, spots: Sequence[tuple[int, int]], low: int, high: int) -> Iterator[tuple[str, bool]]:
    at = low
    for begin, end in spots:
        if begin > at:
            yield ("… " if at == low > 0 else "") + whole[at:begin], False
        elif at == low > 0:
            yield "… ", False
        yield whole[begin:end], True
        at = end
    if at < high and whole[at:high]:
        yield whole[at:high] + (" …" if high < len(whole) else ""), False
