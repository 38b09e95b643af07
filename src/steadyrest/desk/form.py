"""Ask about forming: how thin a sheet gets, how long it heats, what holds a mould shut, how long a moulding cools."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from steadyrest.desk.request_file import asked
from steadyrest.shop.figure import Reason
from steadyrest.shop.shop_fields import Fields
from steadyrest.shop.shop_text import parsed
from steadyrest.stations.form import heating, thinning
from steadyrest.stations.form.asked import read_heating, read_thinning
from steadyrest.stations.form.heating import Heated
from steadyrest.stations.form.thinning import Thinned, ThinningWanted
from steadyrest.stations.mould import clamp, cooling
from steadyrest.stations.mould.asked import read_clamp, read_cooling
from steadyrest.stations.mould.clamp import Clamped
from steadyrest.stations.mould.cooling import Cooled
from steadyrest.trouble import BadInput
from steadyrest.workers.mould import read_mould

WHAT = ("thinning", "heating", "clamp", "cooling")

Progress = Callable[[str, float], None]
Stop = Callable[[], bool]


@dataclass(frozen=True, slots=True)
class FormAnswer:
    """What was asked and what came of it. unread: keys that said nothing."""

    found: Thinned | Heated | Clamped | Cooled
    cautions: tuple[Reason, ...]
    unread: tuple[str, ...]


def form(file: Path, *, progress: Progress, stop: Stop) -> FormAnswer:
    """What a request about forming or moulding asks for.

    Args:
        file: the request, TOML; a mould it names stands beside it.
        progress: told what is being done.
        stop: asked now and then.
    Returns: the answer.
    Raises: BadInput: a file cannot be read, or something in it cannot be meant. InterruptedError: stop said so.
    """
    fields = asked(file, _fields)
    match fields.text("what", among=WHAT):
        case "thinning":
            wanted, unread = read_thinning(fields)
            return FormAnswer(_thinned(wanted, file, progress, stop), thinning.cautions(), unread)
        case "heating":
            sheet, unread = read_heating(fields)
            return FormAnswer(heating.heated(sheet), heating.cautions(), unread)
        case "clamp":
            press, unread = read_clamp(fields)
            return FormAnswer(clamp.clamped(press), clamp.cautions(), unread)
        case _:
            wall, unread = read_cooling(fields)
            return FormAnswer(cooling.cooled(wall), cooling.cautions(), unread)


def _fields(text: str, where: str) -> Fields:
    if not text.strip():
        raise BadInput(where=where, what="the request is empty.", do="docs/form.md shows what stands in one.")
    return parsed(text, where)


def _thinned(wanted: ThinningWanted, file: Path, progress: Progress, stop: Stop) -> Thinned:
    if wanted.section_mm:
        return thinning.thinned_in_trough(wanted)
    path = file.parent / wanted.mould
    corners_mm, faces = read_mould(path, name=wanted.mould, unit=wanted.mould_unit, progress=progress, stop=stop)
    return thinning.thinned_in_mould(wanted, corners_mm, faces, progress=progress, stop=stop)
