"""The nights of the week's page: what runs with nobody in, in which order, and what to expect by morning."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from steadyrest.desk.night.night_runs import MachineNight, Run, nights
from steadyrest.desk.week.week_now import WeekNow
from steadyrest.web.pages.week import NightRow, NightShown
from steadyrest.wording.moments import stretch

ANSWERS = {"yes": "yes", "yes if": "yes, once its leaving sheet is done", "no": "no: do not leave it"}


def nights_shown(now: WeekNow, names: Mapping[str, str]) -> tuple[NightShown, ...]:
    """The nights.

    Args:
        now: the week.
        names: of people and machines, by id.
    Returns: those in which something runs.
    """
    zone, rows = now.shop.timezone, now.week.rows if now.week is not None else ()
    return tuple(
        NightShown(
            f"nobody is in {stretch(night.start, night.end, zone)}",
            tuple(night_row(run, names, zone) for machine in night.machines for run in machine.runs),
            tuple(said for machine in night.machines for said in advice(machine, names)),
        )
        for night in nights(rows, now.shop, now.programs, now=now.now)
    )


def night_row(run: Run, names: Mapping[str, str], zone: str) -> NightRow:
    """A run in words."""
    row, program = run.row, run.program
    if program is None:
        leave, holds, good = "not known: say which program makes it", "", ""
    else:
        leave = ANSWERS.get(program.leave, "not known: check it again")
        holds = "" if program.holds is None else f"{program.holds}" if program.holds else "none"
        good = "" if program.good is None or not run.may else f"{program.good:.1f}"
    what = ", ".join(one for one in (f"job {row.job}", row.name, row.of) if one)
    what += f": {program.program}" if program is not None else ""
    return NightRow(stretch(row.start, row.end, zone), what, names.get(row.machine or "", row.machine or ""),
                    leave, holds, good)  # fmt: skip


def advice(night: MachineNight, names: Mapping[str, str]) -> Iterator[str]:
    """What to expect of a machine, and a better order; what is not known is not counted."""
    name, may = names.get(night.machine, night.machine), [run for run in night.runs if run.may]
    if may:
        said = f"the {name}: {night.good:.1f} good parts by morning on average, if its leaving sheets are kept to"
        yield said if len(may) == len(night.runs) else f"{said}; what may not be left, or is not known, is not counted"
    if night.better:
        order = ", then ".join(f"job {run.row.job}, {run.row.of}" for run in night.better if run.program)
        yield f"the {name}: {order} would give {night.better_good:.1f}: what stops often holds up less"
    refused = [run for run in night.runs if run.program is not None and run.program.leave == "no"]
    if refused:
        jobs = ", ".join(dict.fromkeys(run.row.job for run in refused))
        yield f"the {name}: job {jobs} may not be left. Stay while it runs, or run it by day; the week counts with it"
