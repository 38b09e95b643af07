"""The part that comes back: jobs whose parts are most alike, with what they took and cost then."""

from __future__ import annotations

import os
import threading
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from zipfile import BadZipFile

import numpy as np

from steadyrest.desk import clock, keeping
from steadyrest.part.likeness import BINS, KINDS, Sketch, Sketches, laid_out, likeness, sketch
from steadyrest.shop.part import Part
from steadyrest.store import jobs, ledger, plans
from steadyrest.store.opening import Session, Store

ALIKE, SAME = 0.70, 0.93
MOST = 3
KEPT_AS = "likeness.npz"
SAVE_AFTER = 100


@dataclass(frozen=True, slots=True)
class SeenBefore:
    """A job whose part is alike. score: 0 to 1. price: agreed, else offered, as text; "" if neither.

    planned_s, worked_s: hours with hands as planned, and by the clock; 0 where nobody told it.
    """

    number: int
    what: str
    customer: str
    score: float
    when: datetime
    state: str
    price: str
    planned_s: float
    worked_s: float


@dataclass(slots=True)
class Likenesses:
    """Sketches of every part kept, at hand. What is saved in the folder only spares making them anew."""

    parts: list[tuple[int, int]] = field(default_factory=list)  # part's id, its job's id
    sketches: list[Sketch] = field(default_factory=list)
    laid: Sketches | None = None
    unsaved: int = 0
    begun: bool = False
    lock: threading.Lock = field(default_factory=threading.Lock)

    def best(self, store: Store, part: Part, but: int) -> list[tuple[int, float]]:
        """(job's id, score) of the parts most alike, the best first, each job once.

        Args:
            store: an open data folder.
            part: that came.
            but: id of its own job.
        Returns: those alike at all.
        """
        with self.lock:
            self._catch_up(store)
            if self.laid is None:
                return []
            scores = likeness(self.laid, sketch(part))
            found: dict[int, float] = {}
            for k in np.argsort(-scores, kind="stable"):
                if scores[k] < ALIKE or len(found) == MOST:
                    break
                job = self.parts[int(k)][1]
                if job != but:
                    found.setdefault(job, float(scores[k]))
            return list(found.items())

    def _catch_up(self, store: Store) -> None:
        """Sketches of what was kept since."""
        file = store.folder / KEPT_AS
        if not self.begun:
            self.begun = True
            self._load(file)
        last = self.parts[-1][0] if self.parts else 0
        with store.reading() as session:
            new = plans.parts_after(session, last)
        readable = [kept for kept in new if kept is not None]  # a damaged one is what `verify` is for
        for kept in readable:
            self.parts.append((int(kept.id), int(kept.job_id)))
            self.sketches.append(sketch(kept.part))
        self.unsaved += len(readable)
        if readable or self.laid is None:
            self.laid = laid_out(self.sketches)
        if self.unsaved >= SAVE_AFTER:
            self._save(file)

    def _load(self, file: Path) -> None:
        """What was saved; a file that is damaged, or of another layout, is made anew."""
        try:
            with np.load(file, allow_pickle=False) as saved:
                parts, rows = saved["parts"], saved["sketches"]
        except (OSError, ValueError, KeyError, EOFError, BadZipFile):
            return
        if rows.ndim == 2 and rows.shape == (len(parts), len(KINDS) * BINS):
            self.parts = [(int(a), int(b)) for a, b in parts]
            self.sketches = list(rows.astype(np.float32))

    def _save(self, file: Path) -> None:
        half = file.with_suffix(".half.npz")
        np.savez_compressed(half, parts=np.array(self.parts), sketches=np.stack(self.sketches).astype(np.float16))
        os.replace(half, file)
        self.unsaved = 0


def seen_before(store: Store, shelf: Likenesses, number: int, *, now: datetime) -> tuple[SeenBefore, ...]:
    """Jobs whose parts are like this job's.

    Args:
        store: an open data folder.
        shelf: the sketches at hand.
        number: the job's.
        now: aware moment.
    Returns: at most three, the most alike first; none if there is no such job.
    """
    with store.reading() as session:
        job = jobs.job(session, number)
        part = keeping.newest_part(session, job) if job is not None and plans.parts(session, job.id) else None
    if job is None or part is None:
        return ()
    best = shelf.best(store, part, int(job.id))
    with store.reading() as session:
        found = [_seen(session, jobs.by_id(session, jobs.JobId(one)), score, now) for one, score in best]
    return tuple(one for one in found if one is not None)


def _seen(session: Session, job: jobs.Job, score: float, now: datetime) -> SeenBefore | None:
    kept = keeping.kept(session, job)
    if kept is None:
        return None
    best = kept.answer.best
    said = [one for one in ledger.standing(ledger.entries(session, job.id)) if one.kind == "promised"]
    agreed = said[-1].body.get("price") or said[-1].body.get("offer") if said else None
    offered = best.price.offer.shown() if best is not None and best.price is not None else ""
    planned = sum(p.duration_s.value for step in best.route.steps for p in step.phases if p.who) if best else 0.0
    worked = sum(one.worked_s(now) for one in clock.job_works(session, job.id, now=now))
    return SeenBefore(
        number=job.number, what=job.what, customer=job.customer, score=score, when=job.made_at, state=kept.state,
        price=str(agreed or offered), planned_s=planned, worked_s=worked,
    )  # fmt: skip
