"""What is typed on the command line, as values."""

from __future__ import annotations

import argparse
from datetime import datetime


def moment(text: str) -> datetime:
    """A moment with its offset, ISO 8601."""
    try:
        told = datetime.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not a moment such as 2026-11-27T12:00+01:00") from None
    if told.tzinfo is None:
        raise argparse.ArgumentTypeError(f"{text!r} has no offset; write it as 2026-11-27T12:00+01:00")
    return told


def whole_number(text: str) -> int:
    """A whole number, not negative."""
    try:
        number = int(text)
    except ValueError:
        number = -1
    if not 0 <= number < 2**63:
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number from 0 up")
    return number
