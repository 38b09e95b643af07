"""What a magnet, a file, the eye and a grinding wheel say of each kind of metal, and how often they say it.

A *kind* is what these tests can tell at best; its alloys are never told apart by them. How often a kind gives an
outcome is judged, not measured: the rows say so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

from steadyrest.tables.rows import rows

TestName = Literal["magnet", "file", "colour", "spark"]
TEST_NAMES: tuple[TestName, ...] = ("magnet", "file", "colour", "spark")


@dataclass(frozen=True, slots=True)
class MetalKind:
    """One kind of metal.

    materials: ids of tables/data/materials.csv that belong to it; none where the shop's tables hold no such alloy.
    density_kg_m3: lowest and highest of its alloys. how_often: a small shop meets it, on a scale of its own.
    burns: its dust and chips take fire.
    """

    kind: str
    materials: tuple[str, ...]
    density_kg_m3: tuple[float, float]
    how_often: float
    burns: bool


@dataclass(frozen=True, slots=True)
class MetalGroup:
    """Kinds that are named together where they cannot be told apart."""

    group: str
    kinds: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BenchTest:
    """A test on the bench. minutes: what it takes. misread: how often its outcome is read or written down wrong."""

    test: str
    minutes: float
    misread: float


@cache
def metal_kinds() -> tuple[MetalKind, ...]:
    """All kinds, steels first."""
    return tuple(
        MetalKind(
            kind=row.text("kind"),
            materials=row.names("materials"),
            density_kg_m3=(row.number("density_low_kg_m3"), row.number("density_high_kg_m3")),
            how_often=row.number("how_often"),
            burns=row.flag("burns"),
        )
        for row in rows("metal_kinds")
    )


@cache
def metal_groups() -> tuple[MetalGroup, ...]:
    """All groups of more than one kind, the smallest first."""
    groups = (MetalGroup(row.text("group"), row.names("kinds")) for row in rows("metal_groups"))
    return tuple(sorted(groups, key=lambda group: (len(group.kinds), group.group)))


@cache
def bench_tests() -> Mapping[str, BenchTest]:
    """All tests by name, "weigh" and "weigh in water" among them."""
    return {
        row.text("test"): BenchTest(row.text("test"), row.number("minutes"), row.number("misread_hundredths") / 100)
        for row in rows("metal_tests")
    }


@cache
def outcomes(test: TestName) -> tuple[str, ...]:
    """What a test can say, in the table's order."""
    besides = ("kind", "source", "standing", "note")
    return tuple(column for column in rows(f"metal_{test}")[0].cells if column not in besides)


@cache
def outcome_odds(test: TestName) -> Mapping[str, tuple[float, ...]]:
    """How often each kind gives each outcome, misreadings not counted.

    Args:
        test: which.
    Returns: by kind, odds in the order of `outcomes`, summing to 1.
    """
    names = outcomes(test)
    return {row.text("kind"): tuple(row.number(name) / 100 for name in names) for row in rows(f"metal_{test}")}


@cache
def weighing(name: str) -> float:
    """A figure about weighing a part.

    Args:
        name: as in metal_weighing.csv.
    Returns: its value; hundredths as a share.
    Raises: KeyError: no such row.
    """
    for row in rows("metal_weighing"):
        if row.text("name") == name:
            return row.number("value") / (100 if name.endswith("_hundredths") else 1)
    raise KeyError(name)
