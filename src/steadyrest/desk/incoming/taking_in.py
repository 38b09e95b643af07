"""Take a part in: the file is kept, then read and planned while the person goes on. Programs to be checked wait too.

What waits stands in the store's queue, so a restart takes it up again. One thread works the queue; the reading itself
runs in a worker process with limits.
"""

from __future__ import annotations

import json
import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from steadyrest.desk.accounts import credit
from steadyrest.desk.cutting import nest_asked
from steadyrest.desk.incoming import read_part, revisions, taking_in_several, write_reading
from steadyrest.desk.night import checking
from steadyrest.desk.night.leave import ShopText
from steadyrest.desk.night.leaving_page import Shelf
from steadyrest.desk.plan import keeping, plan_part
from steadyrest.desk.standing import as_it_stands
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.part.flat.thickness import thickness_mm, with_thickness
from steadyrest.shop.finish import Finish, finishes
from steadyrest.store import plans, work_queue
from steadyrest.store.opening import Store
from steadyrest.trouble import BadInput
from steadyrest.workers.reading import PRELOAD
from steadyrest.workers.running import Failed, Progress, Stop, Stopped, Workers

log = logging.getLogger("steadyrest.desk")
KIND = "read and plan"
TELL_EVERY = 0.02
MOST_BODIES = 9999


@dataclass(frozen=True, slots=True)
class Handed:
    """What was handed in, as typed: checked before it is kept. finish: treatments, one after the other, with ;.

    thickness: of a flat drawing."""

    name: str
    what: str
    customer: str
    material: str
    quantity: str
    unit: str
    due: str
    body: str = ""
    finish: str = ""
    thickness: str = ""


def hand_in(store: Store, handed: Handed, data: bytes, *, said: ShopSaid, now: datetime, seed: int = 1) -> int:
    """Keep a file and put it into the queue.

    Args:
        store: an open data folder.
        handed: what was typed.
        data: the file's bytes.
        said: the shop.
        now: aware moment.
        seed: of the plan's draws.
    Returns: the task's id.
    Raises: BadInput: no file, unknown metal, no quantity, or a due time in the past.
    """
    if not data:
        raise BadInput(where=handed.name or "the file", what="the file is empty.", do="Choose the file once more.")
    if handed.unit not in ("", "mm", "in", "m"):
        raise BadInput(where="unit", what=f"{handed.unit!r} is no unit.", do="Choose mm, in or m.")
    body_of(handed.body)
    plan_part.metal_of(handed.material, said.shop)
    plan_part.quantity_of(handed.quantity)
    plan_part.due_of(handed.due, now)
    treatments(handed.finish)
    if handed.thickness:
        thickness_mm(handed.thickness)
    sha256 = store.files.keep(data)
    asked: dict[str, Any] = {name: getattr(handed, name) for name in Handed.__dataclass_fields__}
    asked |= {"sha256": sha256, "seed": seed, "now": now.isoformat()}
    with store.writing() as session:
        plans.note_file(session, sha256=sha256, size_bytes=len(data), name=handed.name, kind="handed in", now=now)
        return int(work_queue.ask(session, kind=KIND, asked=json.dumps(asked), now=now))


class UnitAsked(BadInput):
    """A file that does not say its unit. size: how large it is in its own numbers, along three axes."""

    def __init__(self, name: str, size: tuple[float, float, float]) -> None:
        super().__init__(
            where=name, what="the file does not say its unit, and a plan needs it.",
            do="Say which; one size taken by hand tells.",
        )  # fmt: skip
        self.size = size


def say_unit(store: Store, number: int, unit: str, *, now: datetime) -> int:
    """Put a file in again that lacked its unit, with all else as it was typed.

    Args:
        store: an open data folder. number: the task that failed. unit: "mm", "in" or "m". now: aware moment.
    Returns: the new task's id.
    Raises: BadInput: no such task, it did not ask for a unit, no such unit, or the due time is past by now.
    """
    with store.reading() as session:
        found = work_queue.task(session, work_queue.TaskId(number))
    if found is None or found.kind != KIND or "size" not in json.loads(found.result or "{}"):
        raise BadInput(where=f"task {number}", what="it does not ask for a unit.", do="Put the file in again.")
    if unit not in ("mm", "in", "m"):
        raise BadInput(where="unit", what=f"{unit[:20]!r} is no unit.", do="Choose mm, in or m.")
    asked = json.loads(found.asked)
    plan_part.due_of(asked["due"], now)
    with store.writing() as session:
        return int(work_queue.ask(session, kind=KIND, asked=json.dumps(asked | {"unit": unit}), now=now))


def treatments(text: str) -> tuple[Finish, ...]:
    """The treatments typed in one line; none where nothing was said. Raises: BadInput: one that is not understood."""
    return finishes([one for one in text.split(";") if one.strip()])


def body_of(text: str) -> int | None:
    """Which body of the file is meant; None where nothing was said. Raises: BadInput: no number from 1 on."""
    if not text:
        return None
    if not text.isdecimal() or not 1 <= int(text) <= MOST_BODIES:
        raise BadInput(
            where="body", what=f"{text[:20]!r} is no number of a body.", do="Count from 1, or leave it empty."
        )
    return int(text)


class Queue:
    """Works the store's queue in a thread of its own until closed.

    store: an open data folder. said: the shop. clock: the door's clock. shelf: answers of the leaving check at hand.
    """

    def __init__(self, store: Store, said: ShopSaid, clock: Callable[[], datetime]) -> None:
        self.store = store
        self.said = said
        self.clock = clock
        self.shelf = Shelf()
        self.closing = threading.Event()
        self.rung = threading.Event()
        self.ready = Workers(PRELOAD)
        self.thread = threading.Thread(target=self.work, name="steadyrest-queue", daemon=True)

    def open(self) -> None:
        """Take up what was left, and begin."""
        with self.store.writing() as session:
            work_queue.take_up_again(session)
        self.thread.start()

    def ring(self) -> None:
        """Something new waits."""
        self.rung.set()

    def close(self) -> None:
        """Stop after what runs has been told to stop; it waits in the queue for the next start."""
        self.closing.set()
        self.rung.set()
        self.thread.join(timeout=10)
        self.ready.close()

    def work(self) -> None:
        while not self.closing.is_set():
            with self.store.writing() as session:
                taken = work_queue.take(session, now=self.clock())
            if taken is None:
                self.rung.wait(timeout=2)
                self.rung.clear()
                continue
            self.one(taken)

    def one(self, taken: work_queue.Task) -> None:
        """Do one task; whatever happens, it ends with a word on it."""
        asked = json.loads(taken.asked)
        state: work_queue.Ending = "done"
        result: dict[str, Any]
        try:
            if taken.kind == checking.KIND:
                result = {"check": self.check_program(taken, asked)}
            elif taken.kind == taking_in_several.KIND:
                result = {"job": self.plan_several(taken, asked)}
            elif taken.kind == write_reading.KIND:
                result = {"job": self.take_reading(taken, asked)}
            elif taken.kind in (revisions.READ_KIND, revisions.PLAN_KIND):
                result = {"job": self.revise(taken, asked)}
            elif taken.kind == nest_asked.KIND:
                result = {"nest": self.nest(taken, asked)}
            else:
                result = {"job": self.read_and_plan(taken, asked)}
        except Stopped:
            if self.closing.is_set():
                return  # it stays "running" and is taken up again at the next start
            state, result = "stopped", {}
        except BadInput as trouble:
            state, result = "failed", {"trouble": trouble.line()}
            if isinstance(trouble, UnitAsked):
                result["size"] = trouble.size
        except Failed as fault:
            log.error("%s\n%s", fault, fault.told)
            state, result = "failed", {"trouble": f"{asked['name']}: our fault; the file is kept. Tell us about it."}
        except Exception:  # the queue must go on; the trace is in the log, the person gets a line
            log.exception("task %s", taken.id)
            state, result = "failed", {"trouble": f"{asked['name']}: our fault; the file is kept. Tell us about it."}
        with self.store.writing() as session:
            work_queue.end(session, taken.id, state=state, result=json.dumps(result), now=self.clock())

    def telling(self, taken: work_queue.Task) -> tuple[Progress, Stop]:
        """How a task tells how far it is, and asks whether to stop."""
        told = -1.0
        stopped = False

        def progress(what: str, share: float) -> None:
            nonlocal told, stopped
            if abs(share - told) >= TELL_EVERY:
                told = share
                with self.store.writing() as session:
                    stopped = work_queue.tell(session, taken.id, words=what, share=share) or stopped

        def stop() -> bool:
            nonlocal stopped
            if not stopped and not self.closing.is_set():
                with self.store.reading() as session:
                    now_there = work_queue.task(session, taken.id)
                stopped = now_there is None or now_there.stop
            return stopped or self.closing.is_set()

        return progress, stop

    def nest(self, taken: work_queue.Task, asked: dict[str, Any]) -> int:
        """Nest parts on plates of the rack: the number of the nest. Stopped by a person, the best so far is kept."""
        from steadyrest.desk.cutting import nest_from_rack  # late: compiled loops, which only a nest waits for

        progress, stop = self.telling(taken)
        wanted = nest_asked.from_queue(asked)
        made = nest_from_rack.work(
            self.store, wanted, shop=self.said.shop, progress=progress, stop=stop, workers=self.ready
        )
        if self.closing.is_set():
            raise Stopped
        return nest_from_rack.keep_nest(self.store, made, name=wanted.name, who=wanted.who, now=self.clock())

    def check_program(self, taken: work_queue.Task, asked: dict[str, Any]) -> int:
        """Judge one program: the number of its check."""
        progress, stop = self.telling(taken)
        text = ShopText(self.said.text, self.said.where, example=self.said.example)
        shop, now = self.said.shop, self.clock()
        return checking.work(self.store, self.shelf, asked, shop=shop, text=text, now=now, progress=progress, stop=stop)

    def take_reading(self, taken: work_queue.Task, asked: dict[str, Any]) -> int:
        """Judge and plan anew with one reading by hand: the number of its job."""
        progress, stop = self.telling(taken)
        now = self.clock()
        said = as_it_stands(self.said, self.store, now=now, but=asked["job"])
        return write_reading.work(self.store, asked, said=said, now=now, progress=progress, stop=stop)

    def revise(self, taken: work_queue.Task, asked: dict[str, Any]) -> int:
        """Read a revision of a drawing, or plan from it: the number of its job."""
        progress, stop = self.telling(taken)
        now = self.clock()
        if taken.kind == revisions.READ_KIND:
            return revisions.read(self.store, asked, now=now, progress=progress, stop=stop, workers=self.ready)
        said = as_it_stands(self.said, self.store, now=now, but=asked["job"])
        return revisions.plan(self.store, asked, said=said, now=now, progress=progress, stop=stop)

    def plan_several(self, taken: work_queue.Task, asked: dict[str, Any]) -> int:
        """Read and plan a parts list: the number of its job."""
        progress, stop = self.telling(taken)
        now = self.clock()
        said = as_it_stands(self.said, self.store, now=now)
        return taking_in_several.work(
            self.store, asked, said=said, now=now, progress=progress, stop=stop, workers=self.ready
        )

    def read_and_plan(self, taken: work_queue.Task, asked: dict[str, Any]) -> int:
        """Read and plan one file: the number of its job."""
        progress, stop = self.telling(taken)
        now = self.clock()
        file = self.store.files.path(asked["sha256"])
        part = read_part.read_part(
            file, name=asked["name"], unit=asked["unit"] or None, body=body_of(asked.get("body", "")), grid=True,
            progress=lambda w, s: progress(w, 0.7 * s), stop=stop, workers=self.ready,
        )  # fmt: skip
        if part.unit.state == "ask":
            raise UnitAsked(asked["name"], part.size_mm)
        if part.bodies:
            raise BadInput(
                where=asked["name"], what=f"the file holds {len(part.bodies)} bodies, and a plan needs one.",
                do=f"Put it in again and say which: {plan_part.bodies_in_words(part.bodies)}.",
            )  # fmt: skip
        try:
            part = with_thickness(part, asked.get("thickness", ""))
        except BadInput as bad:
            raise BadInput(where=bad.where, what=bad.what, do="Put it in again and say how thick it is.") from None
        answer = plan_part.plan(
            part,
            said=as_it_stands(self.said, self.store, now=now),
            metal=plan_part.metal_of(asked["material"], self.said.shop),
            quantity=plan_part.quantity_of(asked["quantity"]),
            due=plan_part.due_of(asked["due"], now),
            now=now,
            seed=asked["seed"],
            what=asked["what"],
            asked=treatments(asked.get("finish", "")),
            progress=lambda w, s: progress(w, 0.7 + 0.3 * s),
            stop=stop,
        )
        if stop():
            raise Stopped
        answer = replace(answer, what=asked["what"] or asked["name"], customer=asked["customer"])
        answer = credit.on_credit(answer, self.store, self.said, now=now)
        return keeping.keep_in(
            self.store, answer, name=asked["name"], data=self.store.files.read(asked["sha256"]), now=now
        )
