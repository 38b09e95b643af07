"""Words that call for a question before a yes: work on which lives hang, whoever does it."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import cache
from importlib import resources


@dataclass(frozen=True, slots=True)
class Alarm:
    """A word and the family of duty it belongs to; its question is worded under liability.<family>."""

    word: str
    family: str


@cache
def alarms() -> tuple[Alarm, ...]:
    """The words of liability.csv."""
    text = (resources.files("steadyrest.decide") / "liability.csv").read_text(encoding="utf-8")
    return tuple(Alarm(row["word"], row["family"]) for row in csv.DictReader(text.splitlines()))


def families(said: str) -> tuple[tuple[str, str], ...]:
    """Which families of duty this text touches, each once with the first word that says so.

    Args:
        said: the part's name, what the customer asked for.
    Returns: (family, word) in the order of the table. Whole words only, "s" for the plural allowed; a file's
        underscores and hyphens part words.
    """
    text = re.sub(r"[_\-./]+", " ", said.lower())
    found: dict[str, str] = {}
    for alarm in alarms():
        if alarm.family not in found and re.search(rf"\b{re.escape(alarm.word)}s?\b", text):
            found[alarm.family] = alarm.word
    return tuple(found.items())
