"""From a mesh to the patch graph, in the order of work. Start here."""

from __future__ import annotations

from collections.abc import Callable

from steadyrest.part.patch import PatchGraph
from steadyrest.part.segment import scanned
from steadyrest.part.segment.exact_mesh import exact
from steadyrest.part.segment.skin import skin_of
from steadyrest.part.triangles.mesh import Mesh


class Stopped(Exception):  # noqa: N818  it is no error of ours: somebody asked
    """Somebody asked to stop while a mesh was being read."""


def scan_graph(mesh: Mesh, *, progress: Callable[[str, float], None], stop: Callable[[], bool]) -> PatchGraph:
    """What the surface of a mesh is made of, for a scan and for a mesh made from a solid alike.

    Args:
        mesh: cleaned, in any unit; all lengths that come back are in the same unit.
        progress: told what is being done and how far it is, 0 to 1.
        stop: asked between stages; true ends the work.
    Returns: patches, joints, noise and the shared axis. The same mesh always gives the same graph.
    Raises: Stopped: `stop` said so.
    """

    def at(stage: str, share: float) -> None:
        if stop():
            raise Stopped(stage)
        progress(stage, share)

    at("smoothing", 0.05)
    skin = skin_of(mesh)
    if exact.looks_made(skin):
        at("surfaces", 0.3)
        graph = exact.graph_of(mesh, skin, at)
    else:
        graph = scanned.graph_of(mesh, skin, at)
    at("done", 1.0)
    return graph


def quietly(what: str, share: float) -> None:
    """For callers who do not show progress."""
    del what, share


def never() -> bool:
    """For callers who do not stop."""
    return False
