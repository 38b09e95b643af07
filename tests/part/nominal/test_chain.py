"""Lengths in a row share their faces."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.nominal.chain import Link, chained, chains, faces_var, followed
from steadyrest.part.nominal.habits import FloatArray, habits
from steadyrest.part.nominal.judged import judge
from steadyrest.part.nominal.name import name_sizes
from steadyrest.shop.part import Part
from tests.part.nominal.parts import part_of, round_feature


def stepped(faces: list[float], u: float = 0.05) -> Part:
    """Shafts between these faces; their lengths seen this well."""
    features = [
        round_feature(f"F{k + 1}", d, low, high)
        for k, (d, low, high) in enumerate(zip((30.0, 40.0, 35.0, 25.0), faces, faces[1:], strict=False))
    ]
    sized = [
        replace(f, sizes=tuple(replace(s, uncertainty=u) if s.name == "length_mm" else s for s in f.sizes))
        for f in features
    ]
    return part_of(*sized)


def odds_of(part: Part, feature: str, shown: str) -> float:
    size = part.feature(feature).size("length_mm")
    assert size is not None
    assert size.nominal is not None
    return next((o for v, o in ((size.nominal.shown, size.nominal.odds), *size.nominal.rivals) if v == shown), 0.0)


def test_a_face_seen_too_far_is_told_by_the_length_behind_it() -> None:
    # 15 and 45 with the face between them 0.15 too far, against a length that is 0.15 too long by itself.
    shared = name_sizes(stepped([0, 15.15, 60.0, 80.0]))
    alone = name_sizes(stepped([0, 15.15, 60.15, 80.15]))
    assert odds_of(shared, "F1", "15 mm") > odds_of(alone, "F1", "15 mm") > 0.1


def test_only_lengths_that_touch_make_a_chain() -> None:
    part = stepped([0, 15.0, 60.0, 80.0])
    apart = replace(part.feature("F3"), along_mm=(60.5, 80.5))
    broken = replace(part, features=tuple(apart if f.id == "F3" else f for f in part.features))
    assert [len(rows) for rows in chains(judge(part), part)] == [3]
    assert [len(rows) for rows in chains(judge(broken), broken)] == [2]


def test_a_length_read_by_hand_stands_for_itself() -> None:
    part = stepped([0, 15.0, 60.0, 80.0])
    sizes = tuple(replace(s, reading=(45.02, 0.02)) if s.name == "length_mm" else s for s in part.feature("F2").sizes)
    read = replace(part, features=tuple(replace(f, sizes=sizes) if f.id == "F2" else f for f in part.features))
    judged = judge(read)
    assert not list(chains(judged, read))
    assert chained(judged, read) == judged


def test_a_model_is_left_as_it_is() -> None:
    solid = replace(stepped([0, 15.0, 60.0, 80.0], u=0.0), kind="solid")
    judged = judge(solid)
    assert chained(judged, solid) is judged


@settings(deadline=None, max_examples=60, derandomize=True)
@given(st.lists(st.floats(1e-4, 0.3), min_size=2, max_size=8))
def test_faces_never_say_more_of_a_length_than_was_seen(scan: list[float]) -> None:
    faces = faces_var(scan)
    assert len(faces) == len(scan) + 1
    assert min(faces) > 0
    for i, var in enumerate(scan):
        assert faces[i] + faces[i + 1] <= var * (1 + 1e-9)


def test_a_bad_face_is_blamed_for_both_its_lengths() -> None:
    faces = faces_var([0.0002, 0.3, 0.3, 0.0002])
    assert faces[2] > 0.25
    assert max(faces[:2]) < 0.01


def normal_log(off: FloatArray, cover: FloatArray) -> float:
    """Log density of a joint normal of mean 0, from its definition."""
    _, log_det = np.linalg.slogdet(2 * np.pi * cover)
    return float(-0.5 * (log_det + off @ np.linalg.solve(cover, off)))


@pytest.mark.parametrize("shared", [True, False])
def test_following_the_faces_is_the_plain_sum_over_all_combinations(shared: bool) -> None:
    """Against the joint normal of all lengths, built face by face, for every combination of candidates and widths."""
    rng = np.random.default_rng(5)
    made_var = 0.004
    chain = [
        Link(k, np.arange(3), rng.normal(0, 0.15, 3), np.log(np.array([0.5, 0.3, 0.1])), 0.001, (faces, faces))
        for k, faces in enumerate((0.002, 0.002, 0.002))
    ]
    share, times = habits().worse
    mass = np.zeros((3, 3))
    for pick in product(range(3), repeat=3):
        for wide in product((0, 1), repeat=4):
            log = sum(np.log((1 - share, share)[w]) for w in wide) + sum(
                c.log_prior[p] for c, p in zip(chain, pick, strict=True)
            )
            face = np.array([(0.002 + (made_var / 2 if shared else 0.0)) * (times**2 if w else 1.0) for w in wide])
            cover = np.zeros((3, 3))
            for i in range(3):
                cover[i, i] = face[i] + face[i + 1] + 0.001 + (0.0 if shared else made_var)
                if i < 2:
                    cover[i, i + 1] = cover[i + 1, i] = -face[i + 1]
            told = [i for i, p in enumerate(pick) if p < 2]  # the last candidate is free: its length tells nothing
            if told:
                off = np.array([chain[i].off_mm[pick[i]] for i in told])
                log += normal_log(off, cover[np.ix_(told, told)])
            for i, p in enumerate(pick):
                mass[i, p] += np.exp(log)
    found, log_evidence = followed(chain, made_var, shared=shared)
    for i in range(3):
        np.testing.assert_allclose(found[i], mass[i] / mass[i].sum(), atol=1e-3)
    assert log_evidence == pytest.approx(np.log(mass[0].sum()), abs=1e-3)
