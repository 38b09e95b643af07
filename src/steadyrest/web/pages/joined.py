"""The parts of a job of several: each with its piece and steps, what is bought in, how they go together."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class MadeRow:
    """A part made here. from_what: its piece, or what is bought for it. steps: in order, each in a line.

    no: why it cannot be made here; empty where it can.
    """

    id: str
    what: str
    from_what: str
    steps: tuple[str, ...]
    no: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BoughtRow:
    id: str
    what: str
    price: str
    comes: str


@dataclass(frozen=True, slots=True)
class TogetherRow:
    """A fit-up or an assembly. cautions: what can hurt there."""

    id: str
    says: str
    time: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Parts:
    """shared: set-ups paid once, and what else the parts share. last: how the job ends."""

    made: tuple[MadeRow, ...]
    bought: tuple[BoughtRow, ...]
    together: tuple[TogetherRow, ...]
    last: tuple[TogetherRow, ...]
    shared: tuple[str, ...]
