"""Verbs about NC programs: leave a machine running, hand a program over, how an edge or a night ended.

Desk and its rooms are imported inside the functions: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from steadyrest.cli.shared import Verb, never, out, progress
from steadyrest.cli.typed import whole_number
from steadyrest.trouble import BadInput

if TYPE_CHECKING:
    from steadyrest.desk.night.step_program import StepTimed
    from steadyrest.program.leave import LeavingAnswer


def release_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("program", type=Path, metavar="PROGRAM", help="the NC program that was checked")
    one.add_argument("--machine", required=True, metavar="M", help="which machine of the shop file")
    one.add_argument("--by", required=True, metavar="PERSON", help="who releases it")
    one.add_argument("--attended", action="store_true", help="somebody stays beside it, whatever the check said")


def release(asked: argparse.Namespace) -> int:
    from steadyrest.cli import release_words
    from steadyrest.desk.night import leave as leaving
    from steadyrest.desk.night import release_program

    released = release_program.release_file(
        asked.program, machine=asked.machine, by=asked.by, attended=asked.attended,
        shop=leaving.shop_text(asked.shop, asked.data), data=asked.data, unit=asked.unit, now=asked.now,
    )  # fmt: skip
    if asked.json:
        out(release_words.release_answer(released))
    else:
        print("\n".join(release_words.release_lines(released)))
    return 0


def edge_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("tool", metavar="TOOL", help="its number, such as T4")
    one.add_argument("--machine", required=True, metavar="M", help="the machine's name in the shop file")
    one.add_argument("--had-cut", required=True, metavar="TIME", help="how long it had cut, such as 25 min")
    one.add_argument("--failed", action="store_true", help="it broke or wore out; without this: changed while good")
    one.add_argument("--by", required=True, metavar="PERSON", help="who writes it down")


def edge(asked: argparse.Namespace) -> int:
    from steadyrest.cli import release_words
    from steadyrest.desk.night import edge_record

    noted = edge_record.write_edge_in(
        asked.data, machine=asked.machine, tool=asked.tool, had_cut=asked.had_cut, failed=asked.failed, by=asked.by,
        now=asked.now,
    )  # fmt: skip
    if asked.json:
        out(release_words.edge_answer(noted))
    else:
        print(release_words.edge_line(noted))
    return 0


def alone_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("machine", metavar="M", help="the machine's name in the shop file")
    one.add_argument("--ran", required=True, metavar="TIME", help="how long it ran with nobody there, such as 9 h")
    one.add_argument(
        "--stopped", action="store_true", help="it stopped for chips, coolant, power, jaws: not for a tool"
    )
    one.add_argument("--by", required=True, metavar="PERSON", help="who writes it down")


def alone(asked: argparse.Namespace) -> int:
    from steadyrest.cli import release_words
    from steadyrest.desk.night import alone_record

    noted = alone_record.write_alone_in(
        asked.data, machine=asked.machine, ran=asked.ran, stopped=asked.stopped, by=asked.by, now=asked.now
    )
    if asked.json:
        out(release_words.alone_answer(noted))
    else:
        print(release_words.alone_line(noted))
    return 0


def leave_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("program", type=Path, metavar="PROGRAM", help="an NC program to ISO 6983")
    one.add_argument("--machine", metavar="M", required=True, help="the machine's name in the shop file")
    one.add_argument(
        "--blank", metavar="WORDS", help='such as "box 0,0,-20 100,60,0" or "round 40 -80,2", mm, work coordinates'
    )
    one.add_argument(
        "--part", type=Path, metavar="FILE", help="the finished part in the program's work coordinates: STEP, STL, ..."
    )
    one.add_argument("--job", type=whole_number, metavar="N", help="with --data, --step: it makes a step of this job")
    one.add_argument("--step", metavar="S", help="the step's name or number; the week then counts with its time")
    one.add_argument("--parts", type=whole_number, metavar="N", default=1, help="good parts of one run; default 1")


def leave(asked: argparse.Namespace) -> int:
    from steadyrest.cli import leave_words
    from steadyrest.desk.night import alone_record, edge_record
    from steadyrest.desk.night import leave as leaving

    if (asked.job is None) != (asked.step is None) or (asked.job is not None and asked.data is None):
        raise BadInput(where="--job", what="a step is named by job and step.", do="Give --job, --step and --data.")
    shop = leaving.shop_text(asked.shop, asked.data)
    answer = leaving.leave_file(
        asked.program,
        machine=asked.machine,
        shop=shop,
        blank=asked.blank,
        unit=asked.unit,
        seed=asked.seed,
        ends=edge_record.ends_in(asked.data, asked.machine),
        stops_seen=alone_record.stops_seen_in(asked.data, asked.machine),
        part=asked.part,
        progress=progress,
        stop=never,
    )
    if asked.data:
        from steadyrest.desk.night import release_program

        release_program.note_checked_in(asked.data, answer, now=asked.now)
    job: int | None = asked.job
    timed = step_timed(asked, answer) if job is not None else None
    if asked.json:
        document = leave_words.leave_answer(answer, example=shop.example)
        out(document if timed is None or job is None else document | {"step": leave_words.step_answer(timed, job)})
    else:
        print("\n".join(leave_words.leave_lines(answer, example=shop.example)))
        if timed is not None and job is not None:
            print(leave_words.step_line(timed, job))
    return 0


def step_timed(asked: argparse.Namespace, answer: LeavingAnswer) -> StepTimed:
    """That the program makes a step of a job, written down."""
    from steadyrest.desk.night import step_program
    from steadyrest.store.releases import HOUSE

    said = step_program.Said(asked.job, asked.step, asked.parts)
    return step_program.say_program_in(asked.data, said, answer, who=HOUSE, now=asked.now)


PROGRAM = (
    Verb(
        "leave",
        "May I leave it running: an NC program read, timed, and held against the machine, its tools and the stock.",
        "steadyrest leave bush.nc --machine lathe --shop shop.toml",
        leave_flags,
        leave,
    ),
    Verb(
        "release",
        "Hand a checked program over to its machine: the very file that was checked, with a record of who and when.",
        "steadyrest release bush.nc --machine lathe --by ines --data shop-data",
        release_flags,
        release,
    ),
    Verb(
        "edge",
        "Write down how a tool's edge ended, so that the leaving check learns how long it lasts here.",
        'steadyrest edge T4 --machine lathe --had-cut "25 min" --failed --by ines --data shop-data',
        edge_flags,
        edge,
    ),
    Verb(
        "alone",
        "Write down how a run with nobody there ended, so that the leaving check learns how often this machine stops.",
        'steadyrest alone lathe --ran "9 h" --stopped --by ines --data shop-data',
        alone_flags,
        alone,
    ),
)
