"""Verbs about the data itself: back it up, bring it back, look whether it is whole.

Desk and its rooms are imported inside the functions: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from steadyrest.cli.shared import Verb, out
from steadyrest.cli.typed import whole_number

DAMAGED = 3


def backup_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("folder", type=Path, metavar="FOLDER", help="where backups are kept, such as a stick")
    one.add_argument("--keep", type=whole_number, metavar="N", help="remove older ones beyond the newest N")


def backup(asked: argparse.Namespace) -> int:
    from steadyrest.cli import data_words
    from steadyrest.desk.books import safe_keeping

    made = safe_keeping.back_up(asked.data, asked.folder, keep=asked.keep, now=asked.now)
    if asked.json:
        out(data_words.backup_answer(made))
    else:
        print("\n".join(data_words.backup_lines(made)))
    return 0


def restore_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("backup", type=Path, metavar="BACKUP", help="a folder that `steadyrest backup` made")


def restore(asked: argparse.Namespace) -> int:
    from steadyrest.cli import data_words
    from steadyrest.desk.books import safe_keeping

    back = safe_keeping.bring_back(asked.backup, asked.data)
    if asked.json:
        out(data_words.restore_answer(back))
    else:
        print(data_words.restore_line(back))
    return 0


def verify_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument(
        "folder", type=Path, nargs="?", metavar="FOLDER", help="a data folder or a backup; default: --data"
    )


def verify(asked: argparse.Namespace) -> int:
    from steadyrest.cli import data_words
    from steadyrest.desk.books import safe_keeping

    looked = safe_keeping.look(asked.folder or asked.data)
    if asked.json:
        out(data_words.verify_answer(looked))
    else:
        print("\n".join(data_words.verify_lines(looked)))
    return DAMAGED if looked.damage else 0


DATA = (
    Verb(
        "backup",
        "Back the data folder up while work goes on; the copy is tried by bringing it back before it counts.",
        "steadyrest backup /media/stick --data shop-data --keep 14",
        backup_flags,
        backup,
    ),
    Verb(
        "restore",
        "Bring a backup back as a new data folder; nothing is ever overwritten.",
        "steadyrest restore /media/stick/steadyrest-20261127T181000Z --data shop-again",
        restore_flags,
        restore,
    ),
    Verb(
        "verify",
        "Look whether a data folder or a backup is whole; exit status 3 if anything is damaged.",
        "steadyrest verify --data shop-data",
        verify_flags,
        verify,
    ),
)
