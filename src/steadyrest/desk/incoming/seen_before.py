"""The part that comes back: jobs whose parts are most alike, with what they took and cost then."""

from __future__ import annotations

import os
import threading
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from zipfile import BadZipFile

import numpy as np

from steadyrest.desk.floor import clock
from steadyrest.desk.plan import keeping
from steadyrest.part.compared.likeness import BINS, KINDS, Sketches, Thin, laid_out, likeness, sketch, thinned
from steadyrest.shop.part import Part
from steadyrest.store import jobs, ledger, plans
from steadyrest.store.opening import Session, Store

ALIKE, SAME = 0.70, 0.93
MOST = 3
KEPT_AS = "likeness.npz"
SAVE_AFTER = 100
AT_ONCE = 200
MOST_LATE = 300


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
    sketches: list[Thin] = field(default_factory=list)
    laid: Sketches | None = None  # of the first parts
    late: Sketches | None = None  # of those kept since
    last: int = 0  # id of the part looked at last
    unsaved: int = 0
    begun: bool = False
    lock: threading.Lock = field(default_factory=threading.Lock)

    def warm(self, store: Store) -> None:
        """Have the sketches of what is kept at hand."""
        with self.lock:
            self._catch_up(store)

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
            if self.laid is None or self.late is None:
                return []
            asked = sketch(part)
            scores = np.concatenate([likeness(self.laid, asked), likeness(self.late, asked)])
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
        before, more = len(self.parts), True
        while more:
            with store.reading() as session:
                new = plans.parts_after(session, self.last, most=AT_ONCE)
            more = len(new) == AT_ONCE
            for part_id, kept in new:
                self.last = part_id
                if kept is not None:  # a damaged one is what `verify` is for
                    self.parts.append((int(kept.id), int(kept.job_id)))
                    self.sketches.append(thinned(sketch(kept.part)))
        self.unsaved += len(self.parts) - before
        self._lay_out()
        if self.unsaved >= SAVE_AFTER:
            self._save(file)

    def _lay_out(self) -> None:
        """What came since is laid out by itself until it is many: all of it takes a while."""
        first = self.laid.count if self.laid is not None else 0
        if self.laid is None or len(self.sketches) - first > MOST_LATE:
            self.laid, first = laid_out(self.sketches), len(self.sketches)
            self.late = laid_out(())
        elif self.late is None or first + self.late.count < len(self.sketches):
            self.late = laid_out(self.sketches[first:])

    def _load(self, file: Path) -> None:
        """What was saved; a file that is damaged, or of another layout, is made anew."""
        try:
            with np.load(file, allow_pickle=False) as saved:
                parts, counts, bins, values = (saved[name] for name in ("parts", "counts", "bins", "values"))
        except (OSError, ValueError, KeyError, EOFError, BadZipFile):
            return
        whole = len(bins) == len(values) == counts.sum() and (not len(bins) or bins.max() < len(KINDS) * BINS)
        if parts.shape == (len(counts), 2) and whole:
            self.parts = [(int(a), int(b)) for a, b in parts]
            ends = np.cumsum(counts)
            values = values.astype(np.float32)
            self.sketches = [
                Thin(bins[end - count : end], values[end - count : end])
                for end, count in zip(ends, counts, strict=True)
            ]
            self.last = self.parts[-1][0] if self.parts else 0

    def _save(self, file: Path) -> None:
        half = file.with_suffix(".half.npz")
        np.savez_compressed(
            half,
            parts=np.array(self.parts).reshape(-1, 2),
            counts=np.array([len(one.bins) for one in self.sketches]),
            bins=np.concatenate([one.bins for one in self.sketches]),
            values=np.concatenate([one.values for one in self.sketches]).astype(np.float16),
        )
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
