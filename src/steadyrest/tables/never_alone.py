"""What a person never does with nobody else in the house. What a machine never does alone: tables/leaving.py."""

from __future__ import annotations

from functools import cache

from steadyrest.tables.rows import rows


@cache
def never_alone() -> tuple[str, ...]:
    """The list, in its order: keys of sentences, "never_alone.<key>"."""
    return tuple(row.text("key") for row in rows("never_alone"))
