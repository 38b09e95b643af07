"""What is asked of a nest: drawings, flat parts of jobs, plates of the rack, distances, turns; checked, then queued."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, cast

from steadyrest import units
from steadyrest.desk.pieces.rack import Shelved, pieces
from steadyrest.shop.floor import BarShape, Material, Piece, Shop
from steadyrest.stock.asked.nest import MOST_PARTS
from steadyrest.store import plans, work_queue
from steadyrest.store.opening import Store
from steadyrest.trouble import BadInput
from steadyrest.units.lengths import LengthUnit

KIND = "nest"
FLAT = ("plate", "sheet")
SAME_MM = 0.1
MOST_FILES, MOST_JOBS = 12, 20
SECONDS, MOST_SECONDS = 20.0, 600.0
# How parts may lie: the turns, counter-clockwise, by what the form calls them.
TURNS: dict[str, tuple[float, ...] | None] = {
    "any": None, "quarters": (0.0, 90.0, 180.0, 270.0), "grain": (0.0, 180.0), "across": (90.0, 270.0), "drawn": (0.0,),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Typed:
    """A nest as typed. files: (name, bytes, how many). jobs: lines such as "214" or "12 x 214". plates: labels."""

    files: tuple[tuple[str, bytes, str], ...]
    jobs: str
    plates: tuple[str, ...]
    who: str
    turns: str = "any"
    gap: str = ""
    margin: str = ""
    machine: str = ""
    seconds: str = ""
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Asked:
    """A nest as it waits. files: (hash, name, how many). jobs: (number, how many; 0: as many as the job wants)."""

    name: str
    files: tuple[tuple[str, str, int], ...]
    jobs: tuple[tuple[int, int], ...]
    plates: tuple[str, ...]
    who: str
    turns: str
    gap_mm: float | None
    margin_mm: float | None
    machine: str
    seconds: float
    unit: str
    seed: int = 1

    @property
    def turns_deg(self) -> tuple[float, ...] | None:
        """The turns that are allowed; None: any."""
        return TURNS[self.turns]


@dataclass(frozen=True, slots=True)
class Plates:
    """Plates of one metal, condition and thickness."""

    metal: Material
    condition: str
    thickness_mm: float
    pieces: tuple[Shelved, ...]

    @property
    def as_floor(self) -> tuple[Piece, ...]:
        """As the search takes them."""
        return tuple(
            Piece(
                one.label, cast("BarShape", "plate"), one.size_mm, one.usable_mm, one.material, one.condition,
                one.place, one.heat_number, one.cost, one.outline_mm, one.holes_mm,
            )
            for one in (each.piece for each in self.pieces)
        )  # fmt: skip

    def turn_of(self, label: str) -> int:
        """Of a plate, as it was seen; 0 for one that only the shop file has."""
        one = next(each for each in self.pieces if each.piece.label == label)
        return one.piece.turn if one.book else 0


def lying(found: Iterable[Shelved]) -> tuple[Shelved, ...]:
    """The plates that can be cut up: the shop's own, there when last counted; by thickness, metal, label."""
    mine = [
        one for one in found
        if one.piece.shape in FLAT and one.piece.state == "here" and not one.piece.owner and one.piece.usable_mm > 0
    ]  # fmt: skip
    return tuple(sorted(mine, key=lambda one: (one.piece.size_mm[1], one.piece.material, one.piece.label)))


def plates(found: Iterable[Shelved], labels: Sequence[str], shop: Shop) -> Plates:
    """The plates of these labels.

    Args:
        found: the rack. labels: which; one or more. shop: its metals.
    Returns: the plates.
    Raises: BadInput: none was chosen, one is not there, or they are not of one metal and thickness.
    """
    there = {one.piece.label: one for one in lying(found)}
    chosen = list(dict.fromkeys(labels))
    if not chosen:
        raise BadInput(where="plates", what="none was chosen.", do="Tick those that may be cut up.")
    for label in chosen:
        if label not in there:
            what = f"there is no plate {label[:40]} to be cut up (any more)."
            raise BadInput(where="plates", what=what, do="Look at the rack.")
    first = there[chosen[0]].piece
    for label in chosen[1:]:
        one = there[label].piece
        if one.material != first.material or abs(one.size_mm[1] - first.size_mm[1]) > SAME_MM:
            what = (
                f"{first.label} is {first.material}, {first.size_mm[1]:g} mm thick; {label} is {one.material}, "
                f"{one.size_mm[1]:g} mm."
            )
            raise BadInput(where="plates", what=what, do="Choose plates of one metal and one thickness.")
    metal = next((one for one in shop.materials if one.id == first.material), None)
    if metal is None:
        what = f"{first.label} is of {first.material}, which the tables do not have."
        raise BadInput(where="plates", what=what, do="Choose others.")
    return Plates(metal, first.condition, first.size_mm[1], tuple(there[label] for label in chosen))


def asked_of(store: Store, shop: Shop, typed: Typed) -> Asked:
    """What was typed, checked; the files are kept.

    Args:
        store: an open data folder. shop: its unit, metals. typed: the form.
    Returns: as it waits in the queue.
    Raises: BadInput: the first thing that cannot be meant.
    """
    unit: LengthUnit = "in" if shop.unit == "in" else "mm"
    plates(pieces(store, shop), typed.plates, shop)
    if typed.turns not in TURNS:
        raise BadInput(where="turns", what=f"{typed.turns[:20]!r} is none.", do=f"One of: {', '.join(TURNS)}.")
    if typed.unit not in ("", "mm", "in", "m"):
        raise BadInput(where="unit", what=f"{typed.unit[:20]!r} is no unit.", do="Choose mm, in or m.")
    gap, margin = (_distance(text, unit, name) for text, name in ((typed.gap, "gap"), (typed.margin, "margin")))
    seconds = _seconds(typed.seconds)
    files = [(name, data, _count(many, name)) for name, data, many in typed.files]
    for name, data, _ in files:
        if not name.lower().endswith(".dxf"):
            raise BadInput(where=name[:80], what="is no DXF drawing.", do="Give flat outlines as DXF.")
        if not data:
            raise BadInput(where=name[:80], what="the file is empty.", do="Choose the file once more.")
    given = _jobs(typed.jobs)
    if not files and not given:
        raise BadInput(where="parts", what="none was given.", do="Choose drawings (DXF), or name jobs with flat parts.")
    if len(files) > MOST_FILES or len(given) > MOST_JOBS:
        raise BadInput(where="parts", what="too many at once.", do=f"At most {MOST_FILES} drawings, {MOST_JOBS} jobs.")
    names = [*(name for name, _, _ in files), *(f"job {number}" for number, _ in given)]
    kept = tuple((store.files.keep(data), name, many) for name, data, many in files)
    name = names[0] if len(names) == 1 else f"{names[0]} and {len(names) - 1} more"
    return Asked(
        name, kept, given, tuple(dict.fromkeys(typed.plates)), typed.who, typed.turns, gap, margin, typed.machine,
        seconds, typed.unit,
    )  # fmt: skip


def _count(text: str, where: str) -> int:
    if not (text.isascii() and text.isdecimal() and 1 <= int(text[:9]) <= MOST_PARTS):
        what = f"{text[:20]!r} is no number of parts." if text else "it is not said how many."
        raise BadInput(where=where[:80], what=what, do=f"Give 1 to {MOST_PARTS}.")
    return int(text)


def _jobs(text: str) -> tuple[tuple[int, int], ...]:
    found: dict[int, int] = {}
    for line in text.replace(",", "\n").splitlines():
        if not line.strip():
            continue
        many, _, number = line.lower().replace("×", "x").rpartition("x")
        said = number.strip()
        if not (said.isascii() and said.isdecimal() and len(said) < 10):
            raise BadInput(where="jobs", what=f"{line.strip()[:40]!r} is no job.", do='Write "214" or "12 x 214".')
        found[int(said)] = _count(many.strip(), f"job {said}") if many.strip() else 0
    return tuple(found.items())


def _distance(text: str, unit: LengthUnit, where: str) -> float | None:
    if not text.strip():
        return None
    found = 0.0 if text.strip() == "0" else units.parse_length(text, unit, where)
    if not 0 <= found <= 500:
        raise BadInput(where=where, what=f"{text[:40]!r} cannot be.", do="Give 0 to 500 mm.")
    return found


def _seconds(text: str) -> float:
    try:
        found = float(text) if text else SECONDS
    except ValueError:
        found = 0.0
    if not 1 <= found <= MOST_SECONDS:
        what = f"{text[:20]!r} cannot be."
        raise BadInput(where="longest search", what=what, do=f"Give 1 to {MOST_SECONDS:g} seconds.")
    return found


def hand_in(store: Store, shop: Shop, typed: Typed, *, now: datetime) -> int:
    """Put a nest into the queue.

    Args:
        store: an open data folder. shop: its unit, metals. typed: the form. now: aware moment.
    Returns: the task's id.
    Raises: BadInput: the first thing that cannot be meant.
    """
    asked = asked_of(store, shop, typed)
    data = {name: data for name, data, _ in typed.files}
    with store.writing() as session:
        for sha256, name, _ in asked.files:
            plans.note_file(
                session, sha256=sha256, size_bytes=len(data[name]), name=name, kind="handed in", now=now
            )  # fmt: skip
        said: dict[str, Any] = {one: getattr(asked, one) for one in Asked.__dataclass_fields__}
        said |= {"what": f"Nest: {asked.name}"}
        return int(work_queue.ask(session, kind=KIND, asked=json.dumps(said), now=now))


def from_queue(said: dict[str, Any]) -> Asked:
    """What was asked, out of the queue."""
    fields = {name: said[name] for name in Asked.__dataclass_fields__}
    fields["files"] = tuple((str(a), str(b), int(c)) for a, b, c in said["files"])
    fields["jobs"] = tuple((int(a), int(b)) for a, b in said["jobs"])
    fields["plates"] = tuple(str(one) for one in said["plates"])
    return Asked(**fields)
