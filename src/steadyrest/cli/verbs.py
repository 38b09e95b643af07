"""The verbs of the command line, in the order of the help; demo and serve stand here.

Desk and its rooms are imported inside the functions: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from steadyrest.cli.clock_verb import CLOCK
from steadyrest.cli.customers_verb import CUSTOMERS
from steadyrest.cli.data_verbs import DATA
from steadyrest.cli.find_verb import FIND
from steadyrest.cli.form_verbs import FORM
from steadyrest.cli.list_verbs import LISTS
from steadyrest.cli.measure_verbs import MEASURE
from steadyrest.cli.owed_verb import OWED
from steadyrest.cli.part_verbs import PART
from steadyrest.cli.people_verb import PEOPLE
from steadyrest.cli.program_verbs import PROGRAM
from steadyrest.cli.record_verb import RECORD
from steadyrest.cli.revision_verbs import REVISION
from steadyrest.cli.shared import Verb, never, out, progress
from steadyrest.cli.shop_file_verb import SHOP_FILE
from steadyrest.cli.shop_verbs import SHOP
from steadyrest.cli.things_verb import THINGS
from steadyrest.cli.typed import whole_number


def demo_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("--fine", action="store_true", help="scan the demo part with 500,000 triangles")


def demo(asked: argparse.Namespace) -> int:
    from steadyrest.demo import story

    told = story.tell(asked.data or Path("demo-shop"), seed=asked.seed, fine=asked.fine, progress=progress, stop=never)
    if asked.json:
        from steadyrest.cli import plan_answers

        out(plan_answers.plan_answer(told.answer))
    else:
        from steadyrest.cli import words

        print(words.demo_words(told))
    return 0


def serve_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("--port", type=int, default=8744, metavar="N", help="default 8744")
    one.add_argument("--lan", action="store_true", help="let the shop's other machines in too, over TLS")
    one.add_argument("--name", action="append", default=[], metavar="NAME", help="--lan: another name of this machine")
    one.add_argument("--log", type=Path, metavar="FILE", help="a line for each request: when, who, what; no secrets")
    one.add_argument("--backup-to", type=Path, metavar="FOLDER", help="back up here at start, and again by schedule")
    one.add_argument("--backup-every", default="6 h", metavar="TIME", help="between two backups; default 6 h")
    one.add_argument("--backup-keep", type=whole_number, default=28, metavar="N", help="how many stay; default 28")


def serve(asked: argparse.Namespace) -> int:
    from steadyrest.web import serving

    backups = serving.backups(asked.backup_to, asked.backup_every, asked.backup_keep)
    serving.serve(
        data=asked.data, shop_file=asked.shop, port=asked.port, backups=backups,
        lan=serving.Lan(tuple(asked.name)) if asked.lan else None, log=asked.log,
    )  # fmt: skip
    return 0


VERBS: tuple[Verb, ...] = (
    *PART,
    *MEASURE,
    *PROGRAM,
    *SHOP,
    *FORM,
    *SHOP_FILE,
    *CLOCK,
    *RECORD,
    *LISTS,
    *THINGS,
    *FIND,
    *REVISION,
    *CUSTOMERS,
    *OWED,
    *PEOPLE,
    *DATA,
    Verb(
        "demo",
        "One whole rush job in an invented shop, from scan to papers, in a fresh data folder.",
        "steadyrest demo --data demo-shop",
        demo_flags,
        demo,
    ),
    Verb(
        "serve",
        "The app, on this machine; with --lan for the shop's other machines too, once people have PINs.",
        "steadyrest serve --data demo-shop",
        serve_flags,
        serve,
    ),
)
