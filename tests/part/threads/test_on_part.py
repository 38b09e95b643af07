"""A scanned thread becomes a feature of the part, and the part keeps its length and its other sizes."""

from __future__ import annotations

from functools import cache

import pytest

from steadyrest.demo.scan import scan
from steadyrest.part.features.find import find
from steadyrest.part.mesh import cleaned
from steadyrest.part.nominal.name import name_sizes
from steadyrest.part.patch import PatchGraph
from steadyrest.part.read import part_of, with_points
from steadyrest.part.segment.graph import never, quietly, scan_graph
from steadyrest.part.threads.find import threads_of
from steadyrest.part.threads.on_part import thread_nominals, with_threads
from steadyrest.part.threads.smoothed import smoothed
from steadyrest.shop.figure import because
from steadyrest.shop.part import Part, UnitSaid
from tests.forward.traps import TRAPS

MM = UnitSaid("mm", "sure", because("read.unit_given", unit="mm"))


@cache
def graph_in(name: str) -> PatchGraph:
    part, settings = TRAPS[name]
    vertices, faces = scan(part, settings, seed=3)
    mesh = cleaned(vertices, faces, where=name)
    return with_points(scan_graph(mesh, progress=quietly, stop=never), mesh)


def read(name: str) -> Part:
    graph = graph_in(name)
    found = threads_of(graph)
    part = with_threads(part_of(name, graph, find(smoothed(graph, found)), MM, ()), found)
    return thread_nominals(name_sizes(part))


def test_a_coarse_scan_of_a_spigot_has_its_thread_its_hexagon_and_its_length() -> None:
    part = read("crests only")
    (thread,) = [f for f in part.features if f.kind == "thread"]
    nominals = {size.name: size.nominal for size in thread.sizes}
    diameter, pitch = nominals["diameter_mm"], nominals["pitch_mm"]
    assert diameter is not None
    assert pitch is not None
    assert (diameter.shown, diameter.value, diameter.state) == ("M20x1.5", 20.0, "sure")
    assert pitch.value == 1.5
    assert thread.along_mm is not None
    assert thread.along_mm[1] - thread.along_mm[0] == pytest.approx(28.0, abs=1.5)
    assert part.size_mm[0] == pytest.approx(50.0, abs=0.05)
    assert [f.kind for f in part.features].count("hexagon") == 1
    assert part.profile is not None
    assert {s.feature for s in part.profile.outside} <= {f.id for f in part.features}


def test_naming_the_threads_twice_changes_nothing() -> None:
    part = read("crests only")
    assert thread_nominals(part) == part


def test_smoothing_over_nothing_leaves_the_graph_alone() -> None:
    graph = graph_in("crests only")
    assert smoothed(graph, ()) is graph


def test_smoothing_keeps_the_area_of_the_rest_and_every_joint_between_patches_that_there_are() -> None:
    graph = graph_in("crests only")
    smooth = smoothed(graph, threads_of(graph))
    ids = [patch.id for patch in smooth.patches]
    assert len(ids) == len(set(ids))
    assert all(joint.a in ids and joint.b in ids and joint.a != joint.b for joint in smooth.joints)
    assert len(smooth.patches) <= len(graph.patches)


def test_a_part_with_grooves_and_no_thread_gets_none() -> None:
    assert threads_of(graph_in("pulley_blank")) == ()
