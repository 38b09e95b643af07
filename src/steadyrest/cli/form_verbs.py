"""The verb about forming and moulding.

Desk and its rooms are imported inside the function: the command's help must not wait for them.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from steadyrest.cli.shared import Verb, never, out, progress


def form_flags(one: argparse.ArgumentParser) -> None:
    one.add_argument("file", type=Path, metavar="FILE.toml", help="the request; docs/form.md says what stands in it")


def form(asked: argparse.Namespace) -> int:
    from steadyrest.cli import form_words
    from steadyrest.desk import form as desk

    answer = desk.form(asked.file, progress=progress, stop=never)
    if asked.json:
        out(form_words.form_answer(answer))
    else:
        print("\n".join(form_words.form_lines(answer)))
    return 0


FORM = (
    Verb(
        "form",
        "How thin a hot sheet gets in a mould, how long it heats, what holds a mould shut, how long a moulding cools.",
        "steadyrest form tray.toml",
        form_flags,
        form,
    ),
)
