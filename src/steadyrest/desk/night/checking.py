"""The leaving check as work that waits its turn: a program is handed in, and judged while the person goes on."""

from __future__ import annotations

import json
from dataclasses import asdict
from datetime import datetime
from typing import Any

from steadyrest.desk.night.leave import ShopText, machines_of, parse_blank
from steadyrest.desk.night.leaving_page import LARGEST_BYTES, HandedProgram, Shelf, check
from steadyrest.desk.night.release_program import plain_name
from steadyrest.program.reading.text import plain_text
from steadyrest.shop.floor import Shop
from steadyrest.shop.leaving_file import machine_called
from steadyrest.store import plans, work_queue
from steadyrest.store.opening import Store
from steadyrest.trouble import BadInput
from steadyrest.workers.running import Progress, Stop

KIND = "leaving check"


def hand_in(store: Store, handed: HandedProgram, data: bytes, *, text: ShopText, now: datetime) -> int:
    """Keep a program and put its check into the queue; what can be seen at once is refused at once.

    Args:
        store: an open data folder.
        handed: what was typed.
        data: the program.
        text: the shop file.
        now: aware moment.
    Returns: the task's id.
    Raises: BadInput: no file, too large, no NC program, no such machine or blank.
    """
    name = plain_name(handed.name)
    if not data:
        raise BadInput(where=name or "the file", what="the file is empty.", do="Choose the file once more.")
    if len(data) > LARGEST_BYTES:
        raise BadInput(where=name, what="it is larger than 100 MB.", do="Split the program, or use the command line.")
    machine_called(machines_of(text), handed.machine, text.where)
    if handed.blank:
        parse_blank(handed.blank)
    plain_text(data, name, LARGEST_BYTES)
    sha256 = store.files.keep(data)
    asked = json.dumps(asdict(handed) | {"name": name, "what": name, "sha256": sha256})
    with store.writing() as session:
        plans.note_file(session, sha256=sha256, size_bytes=len(data), name=name, kind="handed in", now=now)
        return int(work_queue.ask(session, kind=KIND, asked=asked, now=now))


def work(
    store: Store, shelf: Shelf, asked: dict[str, Any], *, shop: Shop, text: ShopText, now: datetime,
    progress: Progress, stop: Stop,
) -> int:  # fmt: skip
    """Do one check of the queue.

    Args:
        store: an open data folder.
        shelf: where the answer is put.
        asked: what `hand_in` put into the queue.
        shop: for its time zone and units.
        text: the shop file.
        now: aware moment.
        progress: told what is being done.
        stop: asked now and then.
    Returns: the check's number.
    Raises: BadInput: no NC program, or too much for its limits. Stopped, Failed: see workers/running.py.
    """
    handed = HandedProgram(asked["name"], asked["machine"], asked["unit"], asked["blank"])
    data = store.files.read(asked["sha256"])
    return check(store, shelf, handed, data, shop=shop, text=text, now=now, progress=progress, stop=stop)
