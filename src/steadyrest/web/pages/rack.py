"""The rack: what lies where, find one that would do; and one piece's story."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class RackRow:
    """says: shape and size; note: whose it is, what is wrong with it; heavy: not for one person."""

    label: str
    says: str
    length: str
    metal: str
    heat: str
    mass: str
    note: str
    heavy: bool


@dataclass(frozen=True, slots=True)
class PlaceRows:
    place: str
    rows: tuple[RackRow, ...]


@dataclass(frozen=True, slots=True)
class RackPage:
    """place, metal, yields: what was asked, as typed. metals, shapes: to choose from. touch: the form's mark.

    left_out: (label, what it is, why) of pieces that do not give the size asked for.
    """

    top: Top
    guard: str
    places: tuple[PlaceRows, ...]
    place: str
    metal: str
    yields: str
    metals: tuple[str, ...]
    shapes: tuple[tuple[str, str], ...]
    conditions: tuple[str, ...]
    people: tuple[tuple[str, str], ...]
    touch: str
    left_out: tuple[tuple[str, str, str], ...]
    trouble: str


@dataclass(frozen=True, slots=True)
class PaperRow:
    """A paper of a piece. where: its address; picture: it is shown as one."""

    where: str
    what: str
    name: str
    picture: bool


@dataclass(frozen=True, slots=True)
class PiecePage:
    """One piece. seen: the turn that this page shows, so that a form sent later is refused. jobs: number and words.

    touches: marks of the four forms. gone: nothing can be done with it any more.

    lift: the words of a form that hangs it on two legs; "" where nothing is known of its weight. keep: whether it is
    worth keeping, and why.
    """

    top: Top
    guard: str
    row: RackRow
    place: str
    story: tuple[str, ...]
    seen: int
    gone: bool
    jobs: tuple[tuple[int, str], ...]
    people: tuple[tuple[str, str], ...]
    touches: tuple[str, str, str, str]
    papers: tuple[PaperRow, ...]
    lift: str
    keep: tuple[str, ...]
    trouble: str
