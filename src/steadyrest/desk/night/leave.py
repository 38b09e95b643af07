"""May I leave it running? A program file, one machine of the shop file, and what is known besides."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from steadyrest.desk.incoming import read_part
from steadyrest.desk.night.timed import taught
from steadyrest.desk.which_shop import OWN, example_text, text_of
from steadyrest.part.triangles.outside import Outside
from steadyrest.program.leave import Known, LeavingAnswer, leave
from steadyrest.program.night.tool_life import EdgeEnd
from steadyrest.program.removal.blank import MeshBlank
from steadyrest.shop.draws import Luck
from steadyrest.shop.leaving import Blank, BoxBlank, LeavingMachine, ProgramSaid, RoundBlank, Vector
from steadyrest.shop.leaving_file import machine_called, read_leaving, said_of
from steadyrest.trouble import BadInput
from steadyrest.workers.reading import read_outside

Progress = Callable[[str, float], None]
Stop = Callable[[], bool]
Ends = Mapping[int, Sequence[EdgeEnd]]

DRAWS = 2048
TOO_LARGE_BYTES = 400_000_000
NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)"
POINT = rf"({NUMBER}),({NUMBER}),({NUMBER})"
BOX = re.compile(rf"box\s+{POINT}\s+{POINT}")
ROUND = re.compile(rf"round\s+({NUMBER})\s+({NUMBER}),({NUMBER})")


@dataclass(frozen=True, slots=True)
class ShopText:
    """A shop file's text and its name. example: nobody named a file, so the invented shop stands in."""

    text: str
    where: str
    example: bool = False

    @property
    def folder(self) -> Path | None:
        """Where the file's own paths begin; None for the invented shop."""
        return None if self.example else Path(self.where).parent


def shop_text(shop_file: Path | None, data: Path | None) -> ShopText:
    """The shop file that is meant: the one named, the data folder's own, or the invented example.

    Args:
        shop_file: the file that was named, or None.
        data: the data folder, or None.
    Returns: its text.
    Raises: BadInput: it is not there, or not text.
    """
    if shop_file is not None:
        return ShopText(text_of(shop_file), str(shop_file))
    if data is not None and (data / OWN).exists():
        return ShopText(text_of(data / OWN), str(data / OWN))
    return ShopText(example_text(), "the example shop", example=True)


def leave_file(
    program: Path,
    *,
    machine: str,
    shop: ShopText,
    blank: str | None = None,
    unit: str | None = None,
    seed: int = 1,
    ends: Ends | None = None,
    stops_seen: tuple[float, float] = (0.0, 0.0),
    part: Path | None = None,
    progress: Progress,
    stop: Stop,
) -> LeavingAnswer:
    """Whether a program file may be left running.

    Args:
        program: the file.
        machine: the machine's name in the shop file.
        shop: the shop file.
        blank: as typed, such as "box 0,0,-20 100,60,0"; None takes what the shop file says.
        unit: "mm" or "in" for a program that names none.
        seed: of the draws of the night.
        ends: how edges of the machine's tools ended so far, by number.
        stops_seen: stops of the machine alone for other reasons than a tool so far, and in how many hours.
        part: a file of the finished part in the program's work coordinates; read in a process of its own.
        progress: told what is being done.
        stop: asked now and then.
    Returns: the answer.
    Raises: BadInput: no such file, machine or blank, no NC program, or no part in its file.
    """
    try:
        if program.is_file() and program.stat().st_size > TOO_LARGE_BYTES:
            raise BadInput(where=str(program), what="it is larger than 400 MB.", do="Split the program.")
        source = program.read_bytes()
    except OSError as trouble:
        raise BadInput(
            where=str(program), what=f"it cannot be read ({trouble.strerror}).", do="Check the name."
        ) from None
    return leave_bytes(
        source,
        str(program),
        machine=machine,
        shop=shop,
        blank=blank,
        unit=unit,
        seed=seed,
        ends=ends,
        stops_seen=stops_seen,
        part=None if part is None else read_outside(part, unit=unit, progress=progress, stop=stop),
        progress=progress,
        stop=stop,
    )


def leave_bytes(
    source: bytes,
    name: str,
    *,
    machine: str,
    shop: ShopText,
    blank: str | None = None,
    unit: str | None = None,
    seed: int = 1,
    ends: Ends | None = None,
    stops_seen: tuple[float, float] = (0.0, 0.0),
    part: Outside | None = None,
    progress: Progress,
    stop: Stop,
) -> LeavingAnswer:
    """Whether a program may be left running, its bytes being at hand.

    Args:
        source: the program file's bytes.
        name: its path or name; the shop file may name it by either.
        machine, shop, blank, unit, seed, ends, stops_seen, progress, stop: as in `leave_file`.
        part: corners (n, 3) in mm and triangles (m, 3) of the finished part, in the program's work coordinates.
    Returns: the answer.
    Raises: BadInput: no such machine or blank, or no NC program.
    """
    machines, programs = read_leaving(shop.text, shop.where)
    asked = machine_called(machines, machine, shop.where)
    said = _with_blank(said_of(programs, name), name, blank)
    metal = read_part.material(said.material) if said is not None and said.material else None
    told: Literal["mm", "in"] | None = "in" if unit == "in" else "mm" if unit == "mm" else None
    lessons = taught(asked, programs, shop.folder, unit=told or "mm", stop=stop)
    known = Known(
        machine=asked,
        said=said,
        metal=metal,
        luck=Luck(DRAWS, seed),
        unit=told,
        timing=lessons.timing,
        fitted=lessons.fitted,
        past=lessons.past,
        ends=ends,
        stops_seen=stops_seen,
        part=None if part is None else MeshBlank(*part),
    )
    return leave(source, Path(name).name, known, progress=progress, stop=stop)


def machines_of(shop: ShopText) -> tuple[LeavingMachine, ...]:
    """The machines that a program can be checked for.

    Args:
        shop: the shop file.
    Returns: its mills and lathes.
    Raises: BadInput: something wrong in one of their tables.
    """
    return read_leaving(shop.text, shop.where)[0]


def parse_blank(text: str) -> Blank:
    """A blank as a person types it, in work coordinates and mm.

    Args:
        text: "box X,Y,Z X,Y,Z" (lowest and highest corner) or "round DIAMETER Z,Z" (about Z, from and to).
    Returns: the blank.
    Raises: BadInput: it is neither.
    """
    words = " ".join(text.split())
    if found := BOX.fullmatch(words):
        n = [float(one) for one in found.groups()]
        low: Vector = (n[0], n[1], n[2])
        high: Vector = (n[3], n[4], n[5])
        if all(a < b for a, b in zip(low, high, strict=True)):
            return BoxBlank(low, high)
    if found := ROUND.fullmatch(words):
        diameter, low_z, high_z = (float(one) for one in found.groups())
        if diameter > 0 and low_z < high_z:
            return RoundBlank(diameter, (low_z, high_z))
    raise BadInput(
        where="--blank",
        what=f"{text!r} is no blank.",
        do='Write "box 0,0,-20 100,60,0" (two corners) or "round 40 -80,2" (diameter, from and to along Z), in mm.',
    )


def _with_blank(said: ProgramSaid | None, name: str, blank: str | None) -> ProgramSaid | None:
    if blank is None:
        return said
    return replace(said or ProgramSaid(Path(name).name), blank=parse_blank(blank))
