"""A scanned thread becomes a feature of the part, and the part keeps its length and its other sizes."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from steadyrest.demo.scan import scan
from steadyrest.part.features.find import find
from steadyrest.part.nominal.name import name_sizes, with_reading
from steadyrest.part.patch import PatchGraph
from steadyrest.part.read import part_of, with_points
from steadyrest.part.segment.graph import never, quietly, scan_graph
from steadyrest.part.threads.find import threads_of
from steadyrest.part.threads.on_part import thread_nominals, with_threads
from steadyrest.part.threads.smoothed import smoothed
from steadyrest.part.triangles.mesh import cleaned
from steadyrest.shop.figure import because
from steadyrest.shop.part import Doubt, Feature, Part, UnitSaid
from tests.forward.traps import TRAPS
from tests.part.nominal import parts
from tests.part.nominal.parts import round_feature, size

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


def thread_of(pitch_mm: float, major_mm: float, *odds: tuple[str, float]) -> Feature:
    """A thread as its finding leaves it, not sure of its name."""
    why = tuple(
        because(
            "threads.named" if k == 0 else "threads.or", name=name, name_odds=share, major_mm=major_mm,
            nominal_diameter_mm=10.0, nominal_pitch_mm=1.5,
        )
        for k, (name, share) in enumerate(odds)
    )  # fmt: skip
    sizes = (size("diameter_mm", major_mm, 0.15), size("pitch_mm", pitch_mm, 0.08))
    return replace(round_feature("F2", major_mm, 40, 60), kind="thread", sizes=sizes, why=why)


def test_a_pitch_read_by_hand_names_the_thread_anew_and_ends_the_asking() -> None:
    # M10 has 1.5 mm, 3/8-16 has 25.4/16 = 1.5875 mm (ISO 261, ASME B1.1).
    gauge = Doubt(because("threads.rivals", first="M10", second="3/8-16"), because("threads.ask_pitch_gauge"))
    thread = thread_of(1.55, 9.6, ("M10", 0.5), ("3/8-16", 0.4))
    part = replace(parts.part_of(round_feature("F1", 20.0, 0, 40), thread), doubts=(gauge,))
    for pitch_mm, name in ((25.4 / 16, "3/8-16"), (1.5, "M10")):
        read = thread_nominals(with_reading(part, "F2", "pitch_mm", pitch_mm, 0.005))
        (found,) = [f for f in read.features if f.kind == "thread"]
        diameter = found.sizes[0].nominal
        assert diameter is not None
        assert (diameter.shown, diameter.state) == (name, "sure")
        assert diameter.limits is not None
        assert not any(d.ask.key == "threads.ask_pitch_gauge" for d in read.doubts)
        assert thread_nominals(read) == read
