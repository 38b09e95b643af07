"""Take a parts list in with every file that it names: all is kept, then read and planned while the person goes on."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from pathlib import Path, PurePath
from typing import Any

from steadyrest.desk.accounts import credit
from steadyrest.desk.plan import keeping
from steadyrest.desk.plan.listed_parts import READING, read_all
from steadyrest.desk.plan.plan_job import ENDING, due_said, plan_job
from steadyrest.desk.plan.plan_part import metal_of
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.shop.parts_list import PartsList
from steadyrest.shop.parts_list_file import read_parts_list
from steadyrest.store import plans, work_queue
from steadyrest.store.opening import Store
from steadyrest.trouble import BadInput
from steadyrest.workers.running import Progress, Stop, Stopped, Workers

KIND = "read and plan several"


def hand_in(store: Store, files: Mapping[str, bytes], *, said: ShopSaid, now: datetime, seed: int = 1) -> int:
    """Keep a parts list with its files and put it into the queue.

    Args:
        store: an open data folder.
        files: bytes by name, the list among them; a list may name a file in a folder: its own name counts.
        said: the shop.
        now: aware moment.
        seed: of the plan's draws.
    Returns: the task's id.
    Raises: BadInput: no list or several, a file that it names is not there, or what it says contradicts itself.
    """
    lists = [name for name in files if PurePath(name).suffix.lower() == ENDING]
    if len(lists) != 1:
        what = f"there are {len(lists)} parts lists among the files."
        raise BadInput(where="the files", what=what, do="Choose one list (.toml) and the files that it names.")
    asked = _read(lists[0], files[lists[0]])
    if not asked.made:
        raise BadInput(where=asked.name, what="nothing on the list is made here.", do="List at least one such part.")
    due_said("", asked, now)
    shas: dict[str, str] = {}
    for row in asked.made:
        metal_of(row.material, said.shop)
        own = plain_name(row.file)
        if own not in files or not files[own]:
            what = f"{own} was not sent, or is empty."
            raise BadInput(where=row.where, what=what, do="Choose it together with the list.")
        if any(plain_name(other.file) == own and other.file != row.file for other in asked.made):
            raise BadInput(where=row.where, what=f"two files are called {own}.", do="Give each its own name.")
        shas[row.file] = store.files.keep(files[own])
    sha256 = store.files.keep(files[lists[0]])
    sent: dict[str, Any] = {
        "name": lists[0], "what": asked.name, "sha256": sha256, "files": shas, "seed": seed, "now": now.isoformat(),
    }  # fmt: skip
    with store.writing() as session:
        for name, digest in ((lists[0], sha256), *shas.items()):
            size = store.files.path(digest).stat().st_size
            plans.note_file(session, sha256=digest, size_bytes=size, name=plain_name(name), kind="handed in", now=now)
        return int(work_queue.ask(session, kind=KIND, asked=json.dumps(sent), now=now))


def plain_name(file: str) -> str:
    """A file's own name, whatever folders stand before it, in either system's way of writing them."""
    return PurePath(file.replace("\\", "/")).name


def _read(name: str, data: bytes) -> PartsList:
    try:
        return read_parts_list(data.decode("utf-8-sig"), plain_name(name))
    except UnicodeDecodeError:
        what = "this is not a text file in UTF-8."
        raise BadInput(where=plain_name(name), what=what, do="Save it as plain text.") from None


def work(
    store: Store, asked: dict[str, Any], *, said: ShopSaid, now: datetime, progress: Progress, stop: Stop,
    workers: Workers | None = None,
) -> int:  # fmt: skip
    """Read and plan one list of the queue.

    Args:
        store: an open data folder.
        asked: as it was put in.
        said: the shop as it stands.
        now: aware moment.
        progress: told what is being done and how far it is.
        stop: asked now and then; True ends it.
        workers: a process that stands ready.
    Returns: the number of the job that it became.
    Raises: BadInput: as for reading and planning. Stopped: stop said so; then nothing is kept.
    """
    data = store.files.read(asked["sha256"])
    wanted = _read(asked["name"], data)
    shas: dict[str, str] = asked["files"]

    def where_is(file: str) -> Path:
        return store.files.path(shas[file])

    parts = read_all(wanted, where_is, said=said, progress=progress, stop=stop, workers=workers)
    answer = plan_job(
        wanted, parts, said=said, due=due_said("", wanted, now), now=now, seed=asked["seed"],
        progress=lambda what, share: progress(what, READING + (1 - READING) * share), stop=stop,
    )  # fmt: skip
    if stop():
        raise Stopped
    answer = credit.on_credit(replace(answer, customer=wanted.customer), store, said, now=now)
    named = tuple((plain_name(file), store.files.read(digest)) for file, digest in shas.items())
    return keeping.keep_in(store, answer, name=plain_name(asked["name"]), data=data, now=now, besides=named)
