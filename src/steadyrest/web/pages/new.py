"""Put a part in: the file, and the few words that a plan needs."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.web.pages.top import Top


@dataclass(frozen=True, slots=True)
class NewPage:
    """trouble: the one line that says what was wrong with the last try, or empty. The rest: what the fields hold.

    file_again: the file was sent, and has to be chosen once more.
    metals: names to choose from. due: local date and time as the field wants it. guard: the form's token.
    """

    top: Top
    trouble: str
    file_again: bool
    metals: tuple[str, ...]
    what: str
    customer: str
    material: str
    quantity: str
    unit: str
    body: str
    thickness: str
    finish: str
    due: str
    guard: str
