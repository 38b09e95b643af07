"""Hand the recovered part over: nominal profile or outline as DXF, solid as STEP, sizes as CSV, the picture as
SVG; what the drawn ones leave out as a text."""

from __future__ import annotations

from pathlib import Path

from steadyrest.papers.drawing.part_picture import part_svg
from steadyrest.part.flat.outline_dxf import lines_dxf, outline_dxf
from steadyrest.part.handover.dxf import profile_dxf
from steadyrest.part.handover.sizes import sizes_csv
from steadyrest.part.handover.step_out import Handed
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Part
from steadyrest.store.files import write_whole
from steadyrest.trouble import BadInput
from steadyrest.wording.say import say
from steadyrest.workers import handing_over
from steadyrest.workers.running import Progress, Stop


def write(part: Part, folder: Path, *, unit: str, progress: Progress, stop: Stop) -> tuple[Path, ...]:
    """Write what other programs and people want, each file whole or not at all.

    Args:
        part: as read.
        folder: made if there is none.
        unit: "mm" or "in", for the picture's words.
        progress: told what is being done and how far it is.
        stop: asked now and then; True ends it.
    Returns: the files written.
    Raises: BadInput: the folder cannot be used.
    """
    found: dict[str, bytes] = {"picture.svg": part_svg(part, unit=unit).encode(), "sizes.csv": sizes_csv(part)}
    missing: tuple[Reason, ...] = ()
    if part.profile is not None:
        found["profile.dxf"] = profile_dxf(part)
    if part.profile is not None or part.grid is not None:
        handed = solid(part, progress=progress, stop=stop)
        missing = handed.said
        if handed.data:
            found["nominal.step"] = handed.data
        if handed.outlines:
            found["outline.dxf"] = lines_dxf(handed.outlines, marks=handed.marks)
    elif part.flat is None:
        missing = (because("handover.no_solid"),)
    if part.flat is not None:
        found["outline.dxf"] = outline_dxf(part)
    if missing:
        found["left-out.txt"] = "".join(f"{say(reason)}\n" for reason in missing).encode()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in found.items():
            write_whole(folder / name, data)
        if not missing:
            (folder / "left-out.txt").unlink(missing_ok=True)  # of a hand-over before this one
    except OSError as trouble:
        what = f"cannot be written to ({trouble.strerror})."
        raise BadInput(where=str(folder), what=what, do="Name a folder of your own.") from None
    return tuple(folder / name for name in found)


def solid(part: Part, *, progress: Progress, stop: Stop) -> Handed:
    """The nominal solid; of a part that is not turned, the kernel's no is one of the things that are left out."""
    try:
        return handing_over.nominal_step(part, progress=progress, stop=stop)
    except BadInput as no:
        if part.profile is not None:
            raise
        return Handed(b"", (because("handover.none", why=no.what),))
