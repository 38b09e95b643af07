"""Release a program: what was checked, and nothing else, goes to its machine, with a record of who, when and what."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Literal

from steadyrest.desk.night.leave import ShopText
from steadyrest.program.difference import Changed, difference
from steadyrest.program.leave import LeavingAnswer, dialect_of
from steadyrest.program.night.prohibited import cautions
from steadyrest.program.reading.read import read
from steadyrest.program.run import Run
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.leaving import LeavingMachine, ProgramSaid
from steadyrest.shop.leaving_file import machine_called, read_leaving, said_of
from steadyrest.store import releases
from steadyrest.store.files import sha256_of
from steadyrest.store.opening import Store, open_store
from steadyrest.store.releases import CHECKED, RELEASED, Noted
from steadyrest.trouble import BadInput


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be released.

    name, data: of the program's file. machine: with its table. said: what the shop file says of the program.
    by: who does it. attended: somebody stays beside it, so that a no of the leaving check does not hold it back.
    folder: the machine's watched folder, resolved.
    """

    name: str
    data: bytes
    machine: LeavingMachine
    said: ProgramSaid | None
    by: str
    attended: bool
    folder: Path
    unit: Literal["mm", "in"] = "mm"


@dataclass(frozen=True, slots=True)
class Released:
    """What was released.

    noted: the record. before: the release before this one; None for the first. differences: to that one, in moves;
    empty if it moves alike, or is the first. said: what to know at the machine. cautions: stand beside it.
    """

    noted: Noted
    before: Noted | None
    differences: tuple[Changed, ...]
    said: tuple[Reason, ...]
    cautions: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Before:
    """The release before a new one. noted: None if there was none. differences: what the new one does otherwise."""

    noted: Noted | None
    differences: tuple[Changed, ...]


def before_release(store: Store, asked: Asked) -> Before:
    """What was released last, and what the new program does otherwise.

    Args:
        store: an open data folder.
        asked: what is to be released.
    Returns: the release before this one.
    Raises: BadInput: the kept file is gone or damaged.
    """
    with store.reading() as session:
        noted = releases.last(session, RELEASED, program=plain_name(asked.name), machine=asked.machine.name)
    was = program_before(store, asked, noted)
    return Before(noted, difference(was, run_of(asked.data, asked)) if was is not None else ())


def note_checked(store: Store, answer: LeavingAnswer, *, now: datetime) -> None:
    """Write down what was checked, so that it can be released.

    Args:
        store: an open data folder.
        answer: of the leaving check.
        now: aware moment.
    """
    with store.writing() as session:
        releases.note_checked(
            session,
            Noted(
                plain_name(answer.program), answer.machine.name, answer.sha256, answer.may_leave, releases.HOUSE, now
            ),
        )


def release(store: Store, asked: Asked, *, now: datetime) -> Released:
    """Copy a checked program to its machine and write it down.

    Args:
        store: an open data folder, which holds the record of the check.
        asked: what, whither, by whom.
        now: aware moment.
    Returns: what was released, with the difference to the release before.
    Raises: BadInput: it was not checked for this machine, or has changed since; the check said no and nobody stays;
        the folder cannot be written, or holds something that was changed at the machine.
    """
    name, machine = plain_name(asked.name), asked.machine.name
    sha256 = hashlib.sha256(asked.data).hexdigest()
    if not asked.by.strip():
        raise BadInput(where="--by", what="nobody is named.", do="Say who releases it.")
    with store.reading() as session:
        checked = releases.last(session, CHECKED, program=name, machine=machine)
    may_go(checked, asked, sha256)
    assert checked is not None
    goal = asked.folder / name
    before = before_release(store, asked)
    untouched(goal, before.noted, sha256)
    store.files.keep(asked.data)
    noted = Noted(name, machine, sha256, checked.answer, asked.by, now, str(goal))
    with store.writing() as session:
        # The copy is the last thing before the record is for good; a copy that fails undoes the record. Killed between
        # the two, the program is there without a record: `untouched` finds that out before the next one goes.
        releases.note_released(session, noted)
        releases.copy_whole(goal, asked.data, sha256=sha256)
    said = [because("release.alone" if checked.answer == "yes" else "release.stay", machine=machine)]
    if before.noted is None:
        said.append(because("release.first"))
    elif not before.differences:
        said.append(because("release.alike"))
    return Released(noted, before.noted, before.differences, tuple(said), cautions())


def note_checked_in(data: Path, answer: LeavingAnswer, *, now: datetime) -> None:
    """The same in a data folder that is opened for it.

    Args:
        data: the folder; made if there is none.
        answer: of the leaving check.
        now: aware moment.
    Raises: BadInput: the folder cannot be used.
    """
    store = open_store(data)
    try:
        note_checked(store, answer, now=now)
    finally:
        store.close()


def release_file(
    program: Path, *, machine: str, by: str, attended: bool, shop: ShopText, data: Path | None, unit: str | None,
    now: datetime,
) -> Released:  # fmt: skip
    """Release a program file.

    Args:
        program: the file.
        machine: its name in the shop file.
        by: who releases it.
        attended: somebody stays beside it.
        shop: the shop file.
        data: the data folder that holds the record of the check.
        unit: "in" for a program that names no unit and means inches.
        now: aware moment.
    Returns: what was released.
    Raises: BadInput: as `release`; or no data folder, no such file, no such machine, or no watched folder.
    """
    if data is None:
        what = "there is no data folder, and so no record of the check."
        raise BadInput(where="--data", what=what, do="Name the one that `steadyrest leave` was given.")
    try:
        source = program.read_bytes()
    except OSError as fault:
        what = f"it cannot be read ({fault.strerror})."
        raise BadInput(where=str(program), what=what, do="Check the name.") from None
    noted = Noted(program.name, machine, "", "", by, now, unit=unit or "")
    asked = asked_of(noted, source, shop, data, by=by, attended=attended, path=str(program))
    store = open_store(data)
    try:
        return release(store, asked, now=now)
    finally:
        store.close()


def asked_of(
    noted: Noted, source: bytes, shop: ShopText, data: Path, *, by: str, attended: bool, path: str = ""
) -> Asked:
    """A program as something to be released.

    Args:
        noted: its name, its machine, and its unit where it names none.
        source: its bytes.
        shop: the shop file.
        data: the data folder.
        by: who releases it.
        attended: somebody stays beside it.
        path: the file's path, where the shop file may name it by that.
    Returns: what is to be released.
    Raises: BadInput: no such machine, or no watched folder.
    """
    machines, programs = read_leaving(shop.text, shop.where)
    machine = machine_called(machines, noted.machine, shop.where)
    folder = watched_folder(machine, shop, data)
    said = said_of(programs, path or noted.program)
    return Asked(noted.program, source, machine, said, by, attended, folder, "in" if noted.unit == "in" else "mm")


def watched_folder(machine: LeavingMachine, shop: ShopText, data: Path) -> Path:
    """Where a machine looks for programs; a short name is beside the shop file, or in the data folder.

    Args:
        machine: with its table.
        shop: the shop file.
        data: the data folder, for the invented shop.
    Returns: the folder.
    Raises: BadInput: the shop file names none.
    """
    if not machine.watched_folder:
        what = f"machine {machine.name} has no watched_folder."
        do = f'Write watched_folder = "..." under [machine.{machine.name}]: where its control looks for programs.'
        raise BadInput(where=shop.where, what=what, do=do)
    return (data if shop.example else Path(shop.where).parent) / machine.watched_folder


def may_go(checked: Noted | None, asked: Asked, sha256: str) -> None:
    """Whether the check lets it go.

    Args:
        checked: the last check of this program on this machine; None if there is none.
        asked: what is to be released.
        sha256: of its bytes.
    Raises: BadInput: it does not.
    """
    again = f"Run `steadyrest leave {asked.name} --machine {asked.machine.name} --data DIR` first."
    if checked is None:
        raise BadInput(where=asked.name, what=f"it was not checked for {asked.machine.name}.", do=again)
    if checked.sha256 != sha256:
        when = checked.when.isoformat(timespec="minutes")
        raise BadInput(where=asked.name, what=f"it has changed since it was checked on {when}.", do=again)
    if checked.answer == "no" and not asked.attended:
        what = "the leaving check said no."
        do = "Mend what it found, or give --attended: somebody stays beside it."
        raise BadInput(where=asked.name, what=what, do=do)


def untouched(goal: Path, before: Noted | None, sha256: str) -> None:
    """That nothing of the machine's own is overwritten.

    Args:
        goal: where the program is to stand.
        before: the last release.
        sha256: of what is to be released.
    Raises: BadInput: what stands there was not released from here.
    """
    if not goal.exists():
        return
    there = sha256_of(goal)
    if there != sha256 and (before is None or there != before.sha256):
        what = "it is not as it was released: somebody changed it at the machine, or put it there."
        do = "Look at it and keep what is good; then move it away and release again."
        raise BadInput(where=str(goal), what=what, do=do)


def program_before(store: Store, asked: Asked, before: Noted | None) -> Run | None:
    """The run of what was released before; None if this is the first.

    Args:
        store: an open data folder.
        asked: what is to be released now.
        before: the last release.
    Returns: its run.
    Raises: BadInput: the kept file is gone or damaged.
    """
    return run_of(store.files.read(before.sha256), asked) if before is not None else None


def run_of(data: bytes, asked: Asked) -> Run:
    """A program's run on this machine."""
    return read(data, dialect_of(asked.machine, asked.said, asked.unit), name=asked.name)


def plain_name(name: str) -> str:
    """A file's name without any folder, of whichever system."""
    return PureWindowsPath(PurePosixPath(name).name).name
