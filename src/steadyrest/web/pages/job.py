"""One job: the six answers on one sheet. Each answer is a dataclass of its own, with a template of its own in job/."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.papers.drawing.turning_data import Turning
from steadyrest.web.pages.joined import Parts
from steadyrest.web.pages.revisions import StopMark
from steadyrest.web.pages.top import Top, Worded


@dataclass(frozen=True, slots=True)
class TakeIt:
    """Should I take it. conditions: what has to be so for a yes. reasons: shown at once for a no, else on asking.

    refusal: words to send with a no.
    """

    answer: str
    conditions: tuple[str, ...]
    reasons: tuple[str, ...]
    is_no: bool
    nearest_yes: str
    refusal: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class YesOrNo:
    """What was answered to the customer, and the forms to say it. says: what stands now.

    price, by: what the form begins with: the offer, and the time asked for if that holds, else the one that would.
    most: by the hour, the amount that would be kept and how often.
    may_take, may_decline, may_ready, may_go: which form is shown. why_not: reasons to choose from.
    touch: marks the form, so that it counts once.
    weighs: what a yes costs the promises already given, and until when it may be said.
    """

    number: int
    says: str
    weighs: tuple[str, ...]
    price: str
    currency: str
    by: str
    most: str
    may_take: bool
    may_decline: bool
    may_ready: bool
    may_go: bool
    why_not: tuple[str, ...]
    token: str
    touch: str


@dataclass(frozen=True, slots=True)
class SeenRow:
    """A job whose part is like this one. alike: how much, in words. hours: planned and worked, in words."""

    number: int
    what: str
    alike: str
    when: str
    price: str
    hours: str
    became: str


@dataclass(frozen=True, slots=True)
class ChangeRow:
    what: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Changes:
    """What the last hand reading changed; no rows: nothing."""

    reading: str
    rows: tuple[ChangeRow, ...]


@dataclass(frozen=True, slots=True)
class FeatureRow:
    """A feature with its principal size. rest: its other sizes. trust: "sure", "likely" or "ask", with the odds."""

    numeral: str
    main: str
    rest: str
    trust: str
    limits: str
    measured: str
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DoubtRow:
    what: str
    ask: str


@dataclass(frozen=True, slots=True)
class NextReading:
    """The next reading to take by hand. of, gauge: feature and size, and what with, as the form sends them back."""

    of: str
    says: str
    with_what: str
    gauge: str
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ToTurn:
    """The picture that can be turned. worn: what its shades mean, as (step, words). besides: what it does not show."""

    shape: Turning
    worn: tuple[tuple[int, str], ...]
    besides: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WhatIsIt:
    """job: its number, for pictures and forms. pictured: it is one part, not several, of which none is drawn.

    sizes: every size that can be read by hand, as (key, words). gauges: what it may be read with.

    to_turn: None where there is no body to turn. mended: what reading repaired and lost. trouble, typed: a reading
    that was not written down, and why.
    """

    job: int
    says: str
    pictured: bool
    to_turn: ToTurn | None
    features: tuple[FeatureRow, ...]
    doubts: tuple[DoubtRow, ...]
    next_reading: NextReading | None
    readings: tuple[str, ...]
    sizes: tuple[tuple[str, str], ...]
    gauges: tuple[str, ...]
    mended: tuple[str, ...]
    trouble: str
    typed: str
    guard: str


@dataclass(frozen=True, slots=True)
class PhaseRow:
    name: str
    time: str
    who: str
    why: str


@dataclass(frozen=True, slots=True)
class StepRow:
    name: str
    machine: str
    holding: str
    times: str
    alone: Worded
    phases: tuple[PhaseRow, ...]
    tools: str
    limits: tuple[Worded, ...]
    cautions: tuple[str, ...]
    hold_points: tuple[str, ...]
    notes: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()
    lifted: str = ""


@dataclass(frozen=True, slots=True)
class RouteRow:
    """A route that was not chosen, and why."""

    name: str
    says: str
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RefusedRow:
    who: str
    reasons: tuple[str, ...]
    nearest: str


@dataclass(frozen=True, slots=True)
class HowMade:
    """From what, and how. place: the piece in fewest words.

    chart: sizes with the chance that they are held, the least likely first, each with what would help.
    job: its number, for the picture of the sheets; sheets: how many are cut up, 0: none.
    unmade: what the chosen way leaves for others. pieces: of the rack that do not do, aside: machines that take no
        part, each with why.
    """

    piece: Worded
    place: str
    weights: tuple[str, ...]
    steps: tuple[StepRow, ...]
    unmade: tuple[RefusedRow, ...]
    pieces: tuple[RefusedRow, ...]
    aside: tuple[RefusedRow, ...]
    other_routes: tuple[RouteRow, ...]
    chart: tuple[Worded, ...] = ()
    job: int = 0
    sheets: int = 0


@dataclass(frozen=True, slots=True)
class OtherRow:
    """Another job, and what taking this one does to it."""

    name: str
    before: str
    after: str
    says: str


@dataclass(frozen=True, slots=True)
class LoadRow:
    who: str
    asked: str
    there: str


@dataclass(frozen=True, slots=True)
class NightRow:
    when: str
    who: str
    machine: str
    job: str
    what: str


@dataclass(frozen=True, slots=True)
class ByWhen:
    """can_promise: what may be promised, and how often that is kept. odds: of the due time, also as filled pegs."""

    job: int
    can_promise: str
    kept: str
    usual: str
    due: str
    pegs: int
    odds: str
    why: tuple[str, ...]
    others_changed: tuple[OtherRow, ...]
    others_same: tuple[str, ...]
    load: tuple[LoadRow, ...]
    night: tuple[NightRow, ...]


@dataclass(frozen=True, slots=True)
class BreakRow:
    """costs: what it costs the shop, eight times in ten."""

    quantity: int
    each: str
    total: str
    costs: str
    set_up: str


@dataclass(frozen=True, slots=True)
class MoneyRow:
    says: str
    amount: str


@dataclass(frozen=True, slots=True)
class HowMuch:
    """lines: the offer as it adds up. cash: what goes out. at_cost: hours at what they cost the shop.

    by_hour: the amount not to exceed. taken: how likely the offer is taken. wrong: parts that go wrong, and spare
    blanks. deposit, taken, wrong, by_hour: None where nothing is known or asked. stands: how long the offer does.
    """

    offer: str
    walk_away: Worded
    cost: Worded
    by_hour: Worded | None
    taken: Worded | None
    wrong: Worded | None
    deposit: Worded | None
    stands: str
    lines: tuple[MoneyRow, ...]
    cash: tuple[MoneyRow, ...]
    at_cost: tuple[MoneyRow, ...]
    breaks: tuple[BreakRow, ...]


@dataclass(frozen=True, slots=True)
class MeasureRow:
    what: str
    size: str
    limits: str
    gauge: str
    accept: str
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class IsItRight:
    """own: sizes with limits of their own. general: the rest, by the general tolerance.

    measured: how the lot stands by what was measured, in words; "" where nothing was.
    """

    job: int
    measured: str
    own: tuple[MeasureRow, ...]
    general: tuple[MeasureRow, ...]


@dataclass(frozen=True, slots=True)
class JobPage:
    """how: what speaks against it, too. when, price: None where nothing is planned. papers: (words, address).

    seen: jobs whose parts are alike.
    asked, planned: what was wanted; when and with which seed it was planned. to_ask: questions for the visitor, open.
    parts: of a job of several, else None. stop: the plan is of an older drawing. money: record and customer, as
    (words, address), for an owner.
    """

    top: Top
    number: int
    what: str
    asked: str
    take: TakeIt
    said: YesOrNo
    seen: tuple[SeenRow, ...]
    changes: Changes | None
    is_it: WhatIsIt
    parts: Parts | None
    how: HowMade
    when: ByWhen | None
    price: HowMuch | None
    right: IsItRight
    papers: tuple[tuple[str, str], ...]
    to_ask: int
    planned: str
    stop: StopMark | None
    money: tuple[tuple[str, str], ...]
