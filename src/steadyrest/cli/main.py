"""The command `steadyrest`: parses, calls one desk verb, shows.

Exit status 0: an answer, "no" included. 1: our fault. 2: the input is at fault; nothing on standard output, one line on
standard error. 3: `verify` found damage.
"""

from __future__ import annotations

import argparse
import os
import sys
import traceback
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import NoReturn

from steadyrest.cli import surroundings, verbs
from steadyrest.cli.typed import moment, whole_number
from steadyrest.trouble import BadInput

OUR_FAULT = 1
INPUT_AT_FAULT = 2


class Parser(argparse.ArgumentParser):
    """An argument parser that says what is wrong in one line."""

    def error(self, message: str) -> NoReturn:
        raise BadInput(where=self.prog, what=f"{message}.", do=f"See `{self.prog} --help`.")


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    whole = Parser(
        prog="steadyrest",
        description="What it is, from what and how, by when, for how much, whether to take it, whether it is right.",
        epilog="Exit status: 0 an answer (no included), 1 our fault, 2 the input is at fault, 3 verify found damage.",
    )
    kinds = whole.add_subparsers(dest="verb", required=True, metavar="VERB", parser_class=Parser)
    for verb in verbs.VERBS:
        one = kinds.add_parser(
            verb.name,
            help=verb.says,
            description=verb.says,
            epilog=f"Example: {verb.example}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        common(one)
        verb.flags(one)
        one.set_defaults(run=verb.run)
    return whole


def parsed(arguments: Sequence[str]) -> argparse.Namespace:
    """The command line as values; a verb's loose words may stand before, between and after its flags."""
    asked, left = parser().parse_known_args(arguments)
    if left:
        if not hasattr(asked, "more") or any(word.startswith("-") for word in left):
            what = f"unrecognized arguments: {' '.join(left)}."
            raise BadInput(where="steadyrest", what=what, do="See `steadyrest --help`.")
        asked.more = [*asked.more, *left]
    return asked


def common(one: argparse.ArgumentParser) -> None:
    """The flags that every verb takes."""
    one.add_argument("--json", action="store_true", help="print exactly one JSON document on standard output")
    one.add_argument("--data", type=Path, metavar="DIR", help="the data folder; without it nothing is kept")
    one.add_argument("--shop", type=Path, metavar="FILE.toml", help="the shop file; default: the data folder's own")
    one.add_argument("--unit", choices=("mm", "in", "m"), help="the unit of a file that names none")
    one.add_argument("--now", type=moment, metavar="MOMENT", help="ISO 8601 with offset; default: the clock")
    one.add_argument("--seed", type=whole_number, default=1, metavar="N", help="seed of every draw; default 1")


def run(arguments: Sequence[str] | None = None) -> NoReturn:
    """Run the command line and leave with its exit status."""
    surroundings.prepare()
    sys.exit(status(sys.argv[1:] if arguments is None else arguments))


def status(arguments: Sequence[str]) -> int:
    """Run the command line.

    Args:
        arguments: the words after the command's name.
    Returns: the exit status.
    """
    try:
        asked = parsed(arguments)
        asked.now = asked.now or datetime.now().astimezone()
        return int(asked.run(asked))
    except BadInput as trouble:
        print(trouble.line(), file=sys.stderr)
        return INPUT_AT_FAULT
    except BrokenPipeError:
        # Whoever read our output has heard enough; Python must not complain again at shutdown.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        print("steadyrest: stopped; nothing was left half done.", file=sys.stderr)
        return OUR_FAULT
    except Exception as fault:  # the door of the house: whatever reaches it is our fault and is said in one line
        from steadyrest.store import full_disk

        if full_disk.disk_is_full(fault):
            print(f"steadyrest: {full_disk.WHAT} {full_disk.DO}", file=sys.stderr)
            return OUR_FAULT
        if os.environ.get("STEADYREST_TRACE"):
            traceback.print_exc()
        print(
            f"steadyrest: our fault: {type(fault).__name__}: {fault} (set STEADYREST_TRACE=1 to see where).",
            file=sys.stderr,
        )
        return OUR_FAULT
