"""Ask before the visitor leaves: what is still open about a job's part, and what was answered."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import cast

from steadyrest.desk.plan import keeping
from steadyrest.part.ask_next.before_leaving import About, Question, before_leaving
from steadyrest.store import ledger
from steadyrest.store.opening import Store
from steadyrest.trouble import BadInput

LONGEST = 500


@dataclass(frozen=True, slots=True)
class Answered:
    """An answer as written down: what it was about, of which feature, what was said, and when."""

    about: str
    feature: str | None
    said: str
    happened: datetime


def still_open(kept: keeping.KeptJob) -> tuple[Question, ...]:
    """What to ask while the visitor is still there, the question that decides most first.

    Args:
        kept: the job with its plan and what was answered already.
    Returns: at most eight questions.
    """
    known: frozenset[tuple[About, str | None]] = frozenset(
        (cast(About, one.about), one.feature) for one in answered(kept)
    )
    return before_leaving(kept.answer.part, known)


def answered(kept: keeping.KeptJob) -> tuple[Answered, ...]:
    """What the visitor has said, oldest first."""
    return tuple(
        Answered(
            about=str(entry.body["about"]),
            feature=str(entry.body["feature"]) if entry.body["feature"] is not None else None,
            said=str(entry.body["said"]),
            happened=entry.happened,
        )
        for entry in kept.answers
    )


def write_answer(store: Store, number: int, *, rank: int, ask: str, said: str, who: str, now: datetime) -> None:
    """Write an answer down.

    Args:
        store: an open data folder.
        number: the job's.
        rank: the question's place in the list that is open now, from 0.
        ask: "about feature" of the question as the page showed it: a list that has changed since is not answered.
        said: in the visitor's or the owner's words.
        who: wrote it down.
        now: aware moment.
    Raises: BadInput: no such job, no words, too many, or the list has changed.
    """
    kept = keeping.kept_job(store, number)
    questions = still_open(kept)
    if not 0 <= rank < len(questions) or key(questions[rank]) != ask:
        raise BadInput(
            where=f"job {number}", what="that question is not open any more.", do="Look at the list once more."
        )
    text = " ".join(said.split())
    if not text:
        raise BadInput(where="the answer", what="it is empty.", do="Write a word, or leave the question open.")
    if len(text) > LONGEST:
        raise BadInput(where="the answer", what=f"it has {len(text)} characters.", do=f"Say it in {LONGEST} or fewer.")
    question = questions[rank]
    with store.writing() as session:
        ledger.write_down(
            session, job_id=kept.job.id, kind="answer", who=who, happened=now, told=now,
            body={"about": question.about, "feature": question.feature, "said": text},
        )  # fmt: skip


def key(question: Question) -> str:
    """A question as a form sends it back."""
    return f"{question.about}|{question.feature or ''}"
