"""The very same thing, as a key: what is worked out of a part once is found again without comparing it face by face.

A part holds thousands of numbers. To ask whether two are equal costs more than much of what is asked about them; in one
plan it is the same object each time, and that is asked at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")


@dataclass(frozen=True, slots=True, eq=False)
class Same(Generic[T]):
    """Equal to another only if it holds the very same thing, which lives as long as this does.

    it: something that never changes.
    """

    it: T

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and self.it is other.it  # pyright: ignore[reportUnknownMemberType]

    def __hash__(self) -> int:
        return id(self.it)
