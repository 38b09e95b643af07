"""The list before the visitor leaves, from a kept job."""

from __future__ import annotations

from steadyrest.desk.incoming.asking import Answered, answered, key, still_open
from steadyrest.desk.plan.keeping import KeptJob
from steadyrest.web.pages.before import AnsweredRow, BeforePage, QuestionRow
from steadyrest.web.pages.top import Top
from steadyrest.web.showing.words import Words, numeral
from steadyrest.wording.moments import moment


def page(kept: KeptJob, *, token: str, trouble: str = "", ask: str = "", typed: str = "") -> BeforePage:
    """The list of one job.

    Args:
        kept: the job with its plan and what was answered.
        token: for its forms.
        trouble: why the last answer was not written down. ask, typed: to which question, and what was typed.
    Returns: the page.
    """
    words = Words(kept.answer)
    rows = tuple(
        QuestionRow(
            key=key(question),
            rank=rank,
            ask=words.say(question.ask),
            gauge=question.gauge,
            numeral=numeral(question.feature) if question.feature else "",
            why=words.why(question.why),
            cautions=words.why(question.cautions),
            typed=typed if key(question) == ask else "",
        )
        for rank, question in enumerate(still_open(kept))
    )
    return BeforePage(
        top=Top(f"Before they leave: {kept.job.what}", kept.answer.shop.name),
        job=kept.job.number,
        what=kept.job.what,
        questions=rows,
        answered=tuple(answered_row(one, words) for one in reversed(answered(kept))),
        trouble=trouble,
        guard=token,
    )


def answered_row(one: Answered, words: Words) -> AnsweredRow:
    """What was said about what, and when."""
    about = f"{one.about}, no. {numeral(one.feature)}" if one.feature else one.about
    return AnsweredRow(about, one.said, moment(one.happened, words.zone))
