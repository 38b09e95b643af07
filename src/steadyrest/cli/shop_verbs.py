"""Verbs about the shop: its stock, its week, its papers.

Desk and its rooms are imported inside the functions: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from pathlib import Path

from steadyrest.cli.shared import Verb, never, out, progress
from steadyrest.trouble import BadInput

PLAN_WITHIN_S = 90.0  # a plan is asked for within two minutes, and the program has to begin and to say it besides

STOCK = ("cut", "nest", "carry", "keep", "haul")
RACK = ("list", "add", "show", "move", "use", "scrap", "count", "labels", "paper")

STOCK_HELP = (
    "cut: bars at least cost; nest: parts on a plate, or DXF=COUNT.. on --plates of the rack; "
    "carry: a carry blank; keep: which remnants are worth keeping; "
    "haul: when scrap should go; "
    "list: the rack; add SHAPE SIZE..; show, move, use, scrap LABEL; count PLACE LABEL[=LENGTH]..; labels LABEL..; "
    "paper LABEL --file FILE"
)


def stock_flags(one: argparse.ArgumentParser) -> None:
    from steadyrest.cli.rack_verb import rack_flags

    one.add_argument("what", choices=(*STOCK, *RACK), help=STOCK_HELP)
    one.add_argument("more", nargs="*", metavar="FILE.toml", help="the request (docs/stock.md); or labels, sizes")
    one.add_argument("--picture", type=Path, metavar="FILE.svg", help="cut, nest, carry: write the picture here too")
    one.add_argument("--paper", type=Path, metavar="FILE.pdf", help="cut, nest: write the paper here too")
    one.add_argument("--plates", default="", metavar="L,L", help="nest: labels of the rack's plates that may be cut up")
    one.add_argument("--jobs", default="", metavar="N,N", help="nest: flat parts of these jobs too: 214, or 12x214")
    one.add_argument("--turns", default="any", metavar="T", help="nest: any, quarters, grain, across, drawn")
    one.add_argument("--gap", default="", metavar="L", help="nest: from part to part; default: by the tables")
    one.add_argument("--margin", default="", metavar="L", help="nest: from the plate's edge; default: by the tables")
    one.add_argument("--seconds", default="", metavar="S", help="nest: look no longer; default: 20")
    one.add_argument("--cut", action="store_true", help="nest: write it down as cut: plates out, what is left back in")
    rack_flags(one)


def lacking(what: str, much: float) -> None:
    """How a search gets on, in words on standard error, where a person is looking."""
    if sys.stderr.isatty():
        print(f"\r\033[K{what} {much:.2f} mm", end="", file=sys.stderr, flush=True)


def from_the_first_look() -> Callable[[float], float]:
    """How many of so many seconds are left since somebody first asked: compiling does not count."""
    begun: list[float] = []

    def left_of(seconds: float) -> float:
        begun.extend([] if begun else [time.monotonic()])
        return seconds - (time.monotonic() - begun[0])

    return left_of


def stock(asked: argparse.Namespace) -> int:
    from steadyrest.cli import rack_verb, stock_words
    from steadyrest.desk.cutting import cut_stock

    if asked.what in RACK or (asked.what == "keep" and not asked.more and asked.data is not None):
        return rack_verb.rack(asked)
    if asked.what == "nest" and asked.plates:
        from steadyrest.cli import floor_nest_verb

        return floor_nest_verb.nest(asked)
    if len(asked.more) != 1:
        raise BadInput(where=f"steadyrest stock {asked.what}", what="give one request file.", do="See --help.")
    asked.file = Path(asked.more[0])
    if asked.what == "cut":
        begun = time.monotonic()
        plan = cut_stock.cut(asked.file, left_of=lambda seconds: seconds - (time.monotonic() - begun))
        unit = "in" if asked.unit == "in" else "mm"
        if asked.picture:
            cut_stock.draw_cut(plan, asked.picture, unit=unit)
        if asked.paper:
            cut_stock.print_cut(plan, asked.file, asked.paper, unit=unit, made=asked.now, timezone="UTC")
        document, lines = stock_words.cut_answer(plan), stock_words.cut_lines(plan)
    elif asked.what == "nest":
        from steadyrest.cli import nest_words
        from steadyrest.desk.cutting import nest_parts

        layout = nest_parts.nest(asked.file, seed=asked.seed, left_of=from_the_first_look(), told=lacking)
        if asked.picture:
            nest_parts.draw_nest(layout, asked.picture, unit=asked.unit or "mm")
        document, lines = nest_words.nest_answer(layout), nest_words.nest_lines(layout)
    elif asked.what == "carry":
        blank = cut_stock.carry(asked.file)
        if asked.picture:
            cut_stock.draw_carry(blank, asked.picture, unit="in" if asked.unit == "in" else "mm")
        document, lines = stock_words.carry_answer(blank), stock_words.carry_lines(blank)
    elif asked.what == "haul":
        heaps = cut_stock.haul(asked.file)
        document, lines = stock_words.haul_answer(heaps), stock_words.haul_lines(heaps)
    else:
        rests = cut_stock.keep(asked.file)
        document, lines = stock_words.keep_answer(rests), stock_words.keep_lines(rests)
    if asked.json:
        out(document)
    else:
        print("\n".join(lines))
    return 0


def promise_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("--past", type=Path, metavar="PAST.csv", help="quotes won and lost, with their actual times")
    one.add_argument("--ask", type=Path, metavar="NEW.csv", help="jobs that were won: how many hours they will take")
    one.add_argument("--suppose", action="append", default=[], metavar="CHANGE",
                     help='try a change: "drop 214", "lathe down 22:00 to 09:00", "ana in 17:00 to 20:00", '
                     '"ana away 08:00 to 12:00", "214 due 16:00", "214 outside turn 3 days cost 180", '
                     '"add rush.toml"; may stand several times')  # fmt: skip
    one.add_argument("--calendar", type=Path, metavar="FILE.ics", help="write the shop's own week for a calendar")
    one.add_argument("--of", default="", metavar="WHO", help="calendar: of one person, or `night`: what runs by itself")


def promise(asked: argparse.Namespace) -> int:
    if asked.past is None and asked.ask is None:
        return promise_week(asked)
    if asked.past is None or asked.ask is None:
        raise BadInput(where="steadyrest promise", what="lessons need two lists.", do="Give --past and --ask together.")
    from steadyrest.cli import lessons_words
    from steadyrest.desk.week import learn

    answer = learn.ask_past(asked.past, asked.ask, seed=asked.seed)
    if asked.json:
        out(lessons_words.lessons_answer(answer))
    else:
        print("\n".join(lessons_words.lessons_lines(answer)))
    return 0


def promise_week(asked: argparse.Namespace) -> int:
    if asked.shop is None and asked.data is None:
        raise BadInput(
            where="steadyrest promise", what="nothing is asked.",
            do="Give a week as --shop FILE.toml, the shop's own as --data DIR, or --past PAST.csv with --ask NEW.csv.",
        )  # fmt: skip
    if asked.suppose:
        return suppose(asked)
    if asked.calendar is not None:
        return calendar(asked)
    from steadyrest.cli import promise_words
    from steadyrest.desk.week import promise_week as week

    if asked.shop is None:
        promised = week.own(asked.data, now=asked.now, seed=asked.seed, progress=progress, stop=never)
    else:
        begun = time.monotonic()
        promised = week.promise_week(
            asked.shop, seed=asked.seed, progress=progress, stop=never,
            enough=lambda: time.monotonic() - begun > PLAN_WITHIN_S,
        )  # fmt: skip
    if asked.json:
        out(promise_words.promise_answer(promised))
    else:
        print("\n".join(promise_words.promise_lines(promised)))
    return 0


def calendar(asked: argparse.Namespace) -> int:
    if asked.shop is not None or asked.data is None:
        raise BadInput(
            where="--calendar", what="a request has no calendar.", do="Give the shop's own week: --data DIR alone."
        )
    from steadyrest.desk.week import week_calendar

    entries = week_calendar.write_calendar(asked.data, asked.calendar, asked.of, now=asked.now, stop=never)
    if asked.json:
        out({"file": str(asked.calendar), "of": asked.of or None, "entries": entries})
    else:
        print(f"{asked.calendar}: {entries} entries")
    return 0


def suppose(asked: argparse.Namespace) -> int:
    from steadyrest.cli import suppose_words
    from steadyrest.desk.week import suppose as desk

    if asked.shop is None:
        supposed = desk.suppose_own(asked.data, asked.suppose, now=asked.now, seed=asked.seed, progress=progress,
                                    stop=never)  # fmt: skip
    else:
        supposed = desk.suppose_week(asked.shop, asked.suppose, seed=asked.seed, progress=progress, stop=never)
    if asked.json:
        out(suppose_words.suppose_answer(supposed))
    else:
        print("\n".join(suppose_words.suppose_lines(supposed)))
    return 0


PAPERS = ("statement", "record", "invoice", "receipt")
PAPER_HELP = (
    "statement: hours, machines, travel and goods of a request; record: what was done on a job, day by day; invoice: "
    "the next one, from the record; receipt: the customer's own parts that came with a job"
)


def paper_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("what", choices=PAPERS, help=PAPER_HELP)
    one.add_argument("of", metavar="FILE.toml|JOB", help="a request (docs/statement.md), or a kept job's number")
    one.add_argument("--out", type=Path, metavar="FILE.pdf", help="record, invoice, receipt: write the paper here too")
    one.add_argument("--by", metavar="P", help="invoice: who issues it")
    one.add_argument("--again", action="store_true", help="invoice: though one charges this job already")
    one.add_argument("--hours", action="store_true", help="invoice: by the hours of the record, not the price offered")


def paper(asked: argparse.Namespace) -> int:
    if asked.what != "statement":
        from steadyrest.cli import record_verb

        return record_verb.paper(asked)
    from steadyrest.cli import statement_words
    from steadyrest.desk.accounts import statement

    stated = statement.state(Path(asked.of))
    if asked.json:
        out(statement_words.statement_answer(stated))
    else:
        print("\n".join(statement_words.statement_lines(stated)))
    return 0


SHOP = (
    Verb(
        "stock",
        "From what: the rack and its pieces; bars cut at least cost, parts on a plate, a carry blank, what to keep.",
        "steadyrest stock cut list.toml",
        stock_flags,
        stock,
    ),
    Verb(
        "promise",
        "By when: a week's plan and the odds of each due time; or what past jobs, won and lost, say about new ones.",
        "steadyrest promise --shop week.toml",
        promise_flags,
        promise,
    ),
    Verb(
        "paper",
        "Papers of what was done: a statement from a request, a kept job's work record, its invoice, to the cent.",
        "steadyrest paper statement november.toml",
        paper_flags,
        paper,
    ),
)
