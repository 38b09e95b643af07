"""The verbs of the command line, in the order of the help; demo and serve stand here.

Desk and its rooms are imported inside the functions: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from steadyrest.cli.form_verbs import FORM
from steadyrest.cli.part_verbs import PART
from steadyrest.cli.program_verbs import PROGRAM
from steadyrest.cli.shared import Verb, never, out, progress
from steadyrest.cli.shop_verbs import SHOP


def demo_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("--fine", action="store_true", help="scan the demo part with 500,000 triangles")


def demo(asked: argparse.Namespace) -> int:
    from steadyrest.demo import story

    told = story.tell(asked.data or Path("demo-shop"), seed=asked.seed, fine=asked.fine, progress=progress, stop=never)
    if asked.json:
        from steadyrest.cli import answers

        out(answers.plan_answer(told.answer))
    else:
        from steadyrest.cli import words

        print(words.demo_words(told))
    return 0


def serve_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("--port", type=int, default=8744, metavar="N", help="default 8744")


def serve(asked: argparse.Namespace) -> int:
    from steadyrest.web import serving

    serving.serve(data=asked.data, shop_file=asked.shop, port=asked.port)
    return 0


VERBS: tuple[Verb, ...] = (
    *PART,
    *PROGRAM,
    *SHOP,
    *FORM,
    Verb(
        "demo",
        "One whole rush job in an invented shop, from scan to papers, in a fresh data folder.",
        "steadyrest demo --data demo-shop",
        demo_flags,
        demo,
    ),
    Verb(
        "serve",
        "The app, on this machine.",
        "steadyrest serve --data demo-shop",
        serve_flags,
        serve,
    ),
)
