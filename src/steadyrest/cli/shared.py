"""What every verb needs: its value, progress, the one document on standard output."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Verb:
    name: str
    says: str
    example: str
    flags: Callable[[argparse.ArgumentParser], None]
    run: Callable[[argparse.Namespace], int]


def progress(what: str, share: float) -> None:
    """Progress in words on standard error, where a person is looking."""
    if sys.stderr.isatty():
        print(
            f"\r\033[K{what} ({round(10 * share)} of 10)", end="\n" if share >= 1 else "", file=sys.stderr, flush=True
        )


def out(document: object) -> None:
    """The one JSON document on standard output."""
    json.dump(document, sys.stdout, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    sys.stdout.write("\n")


def never() -> bool:
    """Nobody asked to stop; the keyboard's interrupt ends the command itself."""
    return False
