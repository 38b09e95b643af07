"""All that is known of a part that is not turned before its features are named."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from steadyrest.part.features.draft import Draft
from steadyrest.part.features.holes import Hole
from steadyrest.part.features.turned import Slack
from steadyrest.part.patch import Joint, Patch, PatchGraph

Found = Iterator[tuple[Draft, set[int]]]
"""Features one after another, each with the patches that it explains."""


@dataclass(frozen=True, slots=True)
class Block:
    """Patches, how exactly they are known, the holes among them, and what each patch meets (by its id).

    refused: ids of patches of a freely shaped part that looked like a simple shape and are none.
    """

    graph: PatchGraph
    slack: Slack
    holes: tuple[Hole, ...]
    meets: tuple[tuple[tuple[Joint, Patch], ...], ...]
    refused: frozenset[int] = frozenset()

    def joints_at(self, patch: Patch) -> tuple[tuple[Joint, Patch], ...]:
        """The joints of a patch, each with what it meets there."""
        return self.meets[patch.id]

    def planes(self, taken: set[int]) -> list[Patch]:
        """Planes that nothing explains yet and whose reach is known, largest first."""
        planes = [p for p in self.graph.patches if p.kind == "plane" and p.id not in taken and p.points is not None]
        return sorted(planes, key=lambda p: (-p.area_mm2, p.id))


def block_of(graph: PatchGraph, slack: Slack, holes: tuple[Hole, ...], refused: frozenset[int] = frozenset()) -> Block:
    """A block with what each of its patches meets."""
    patches = {patch.id: patch for patch in graph.patches}
    meets: list[list[tuple[Joint, Patch]]] = [[] for _ in range(max(patches, default=-1) + 1)]
    for joint in graph.joints:
        meets[joint.a].append((joint, patches[joint.b]))
        meets[joint.b].append((joint, patches[joint.a]))
    return Block(graph, slack, holes, tuple(tuple(m) for m in meets), refused)
