"""The demo: Friday noon, a theatre's stage lift stands still, the premiere is on Sunday. Everything here is invented.

A worn intermediate shaft is scanned (by the generator beside this module, which knows nothing of the reader), put in as
a person would, read, planned among the work already promised, kept, and its papers are written.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from steadyrest.demo import programs, scan
from steadyrest.desk.incoming import hand_over
from steadyrest.desk.night import leaving_page
from steadyrest.desk.night.leave import ShopText
from steadyrest.desk.place import Place, open_place
from steadyrest.desk.plan import issue_paper, keeping, plan_part
from steadyrest.trouble import BadInput

NOW = "2026-11-27T12:10:00+01:00"
DUE = "2026-11-28T12:00:00+01:00"
METAL = "C45"
WHAT = "stage lift, intermediate shaft"
CUSTOMER = "the theatre on the quay"
USUAL_MM, FINE_MM = 0.82, 0.45
MARK = "this is a demo folder; `steadyrest demo` makes it anew.txt"
STORY = """Friday, ten past twelve. The theatre on the quay rings: the stage lift stands still, the premiere
is on Sunday. The stage master brings the intermediate shaft; a bearing has run dry and eaten into its seat. There is
no drawing. You scan it, and want to say within minutes whether it can be back on Saturday at noon."""


@dataclass(frozen=True, slots=True)
class Told:
    """What the demo did: the story, the answer, the files it wrote, and how to open the app."""

    story: str
    answer: plan_part.PlanAnswer
    files: tuple[Path, ...]
    open_with: str


def tell(
    folder: Path, *, seed: int, fine: bool, progress: Callable[[str, float], None], stop: Callable[[], bool]
) -> Told:
    """Run the whole rush job in a fresh data folder.

    Args:
        folder: made anew; one that an earlier demo made is replaced, any other is left alone.
        seed: of the scan and of the plan's draws.
        fine: scan with some 500,000 triangles.
        progress: told what is being done and how far it is.
        stop: asked now and then.
    Returns: the story with its answer and files.
    Raises: BadInput: the folder is there and no demo made it.
    """
    fresh(folder)
    progress("scanning the shaft", 0.0)
    settings = scan.ScanSettings(voxel_mm=FINE_MM if fine else USUAL_MM)
    vertices, faces = scan.scan(scan.stage_lift_shaft(), settings, seed=seed)
    scanned = folder / "stage-lift-shaft.ply"
    scan.write_ply(scanned, vertices, faces)
    wanted = plan_part.Wanted(
        file=scanned, material=METAL, quantity="1", due=DUE, unit="mm", shop_file=None, data=folder,
        now=datetime.fromisoformat(NOW), seed=seed, what=WHAT, customer=CUSTOMER,
    )  # fmt: skip
    place = open_place(folder, None)
    try:
        answer = plan_part.plan_file(wanted, progress=progress, stop=stop)
        kept = keeping.kept_jobs(place.store)[0]
        files = hand_over.write(answer.part, folder / "hand-over", unit=answer.shop.unit, progress=progress, stop=stop)
        papers = folder / "papers"
        papers.mkdir()
        for name, write in issue_paper.PAPERS.items():
            file = papers / f"{name}.pdf"
            file.write_bytes(write(kept, made=answer.now))
            files = (*files, file)
        files = (*files, *left_alone(place, folder, now=answer.now, progress=progress, stop=stop))
    finally:
        place.close()
    return Told(STORY, answer, files, f"Open the app on it: python run.py serve --data {folder}")


def left_alone(
    place: Place, folder: Path, *, now: datetime, progress: Callable[[str, float], None], stop: Callable[[], bool]
) -> tuple[Path, ...]:
    """The shop's NC programs, each checked as in the evening, with its leaving sheet; one may be left, one may if.

    Args:
        place: the open data folder.
        folder: the same, for the files.
        now: aware moment.
        progress: told what is being done.
        stop: asked now and then.
    Returns: programs and sheets.
    """
    said = place.said
    shop, text = said.shop, ShopText(said.text, said.where, example=said.example)
    for machine in ("to-the-lathe", "to-the-mill"):
        (folder / machine).mkdir()
    shelf = leaving_page.Shelf()
    files: list[Path] = []
    for program in programs.write_programs(folder / "programs"):
        progress(f"looking whether {program.name} may be left running", 0.9)
        handed = leaving_page.HandedProgram(program.name, programs.MACHINES[program.name])
        check = leaving_page.check(
            place.store, shelf, handed, program.read_bytes(), shop=shop, text=text, now=now, stop=stop
        )
        found = leaving_page.shown(place.store, shelf, check, shop=shop, text=text, stop=stop)
        sheet = folder / "papers" / f"leaving-{program.stem}.pdf"
        sheet.write_bytes(leaving_page.sheet(found, shop=shop, made=now))
        files += [program, sheet]
    return tuple(files)


def fresh(folder: Path) -> None:
    """An empty demo folder; only one that a demo made is ever emptied."""
    if folder.exists() and any(folder.iterdir()):
        if not (folder / MARK).exists():
            raise BadInput(
                where=str(folder), what="this folder is in use, and no demo made it.", do="Name another with --data."
            )
        shutil.rmtree(folder)
    folder.mkdir(parents=True, exist_ok=True)
    (folder / MARK).write_text("Invented shop, invented job.\n", encoding="utf-8")
