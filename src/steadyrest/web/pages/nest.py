"""The nest: what is asked, what came of it, its plates cut."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class PlateChoice:
    """A plate that may be cut up. ticked: it was."""

    label: str
    says: str
    ticked: bool


@dataclass(frozen=True, slots=True)
class PlateGroup:
    """Plates of one metal and thickness. clear: what is kept apart there, and why; none where nobody cuts it."""

    says: str
    plates: tuple[PlateChoice, ...]
    clear: tuple[str, ...]
    open: bool


@dataclass(frozen=True, slots=True)
class NestRow:
    """A nest that was made. state: such as "cut"."""

    number: int
    says: str
    state: str


@dataclass(frozen=True, slots=True)
class NestPage:
    """files: how many fields for drawings stand open, and in the fold below. typed: what the form says. turns: (key,
    words). machines: (id, name)."""

    top: Top
    guard: str
    groups: tuple[PlateGroup, ...]
    first: tuple[int, ...]
    more: tuple[int, ...]
    typed: dict[str, str]
    turns: tuple[tuple[str, str], ...]
    machines: tuple[tuple[str, str], ...]
    unit: str
    rows: tuple[NestRow, ...]
    people: tuple[tuple[str, str], ...]
    trouble: str


@dataclass(frozen=True, slots=True)
class PartRow:
    """A part on a plate. numbers: in the order in which they come free."""

    numbers: str
    name: str
    each: str


@dataclass(frozen=True, slots=True)
class PlateShown:
    """A plate of a nest. heavy: it is not lifted by one person, "" otherwise. rest: what is left. cut: by whom; "": not
    yet. left: label of what came back, "" for nothing."""

    label: str
    says: str
    heavy: str
    times: tuple[str, ...]
    rows: tuple[PartRow, ...]
    marks: tuple[str, ...]
    rest: str
    cut: str
    left: str


@dataclass(frozen=True, slots=True)
class NestedPage:
    """A nest. says: how many from what. how: machine and times. clear: gap and margin: (what, why). used: tips and
    money. open: plates still to be cut. here: its address. jobs: whose parts lie in it."""

    top: Top
    guard: str
    touch: str
    here: str
    says: str
    how: str
    clear: tuple[tuple[str, tuple[str, ...]], ...]
    used: tuple[str, ...]
    said: tuple[str, ...]
    lacking: tuple[str, ...]
    cannot: tuple[str, ...]
    doubts: tuple[str, ...]
    drilled: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    no_cutter: tuple[str, ...]
    plates: tuple[PlateShown, ...]
    open: int
    jobs: tuple[int, ...]
    people: tuple[tuple[str, str], ...]
    trouble: str
