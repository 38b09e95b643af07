"""What is done where the search is stuck: some parts are put elsewhere, or all are pulled one way; and it goes on."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from steadyrest.stock.nesting.field import Floats

if TYPE_CHECKING:
    from steadyrest.stock.nesting.search import Search

JOSTLED, PULL = 80, 0.5
CHANGED, ANEW, PULLED = 0.5, 0.7, 0.9  # how often each, one upon the other; else a few are thrown
ALIKE, UNLIKE = 0.5, 0.3
MOST_THROWN, FEWEST_ANEW, MOST_ANEW, MIXED = 3, 2, 6, 0.7


def shake(search: Search) -> None:
    """Put something elsewhere; what counted more until now counts as at the beginning.

    Args:
        search: in which some parts stand too near; changed.
    """
    search.weights[:] = 1.0
    there = int(np.count_nonzero(search.on))
    how = float(search.luck.random())
    if there == 0:
        return
    if how < CHANGED and there > 1:
        _changed(search)
    elif how < ANEW:
        _anew(search)
    elif how < PULLED:
        _jostled(search)
    else:
        _thrown(search)


def _large_more_often(search: Search) -> Floats:
    """(parts,) the odds with which each is drawn."""
    share = (1.0 / (1.0 + np.argsort(search.order))) ** 0.5 * search.on
    return share / share.sum()


def _changed(search: Search) -> None:
    """Two parts change places, half the time of about equal area, each turned so that it lacks least there."""
    odds = _large_more_often(search)
    one = int(search.luck.choice(search.parts, p=odds))
    if search.luck.random() < ALIKE:
        unlike = np.abs(np.log(search.areas / search.areas[one])) + UNLIKE * search.luck.random(search.parts)
        unlike[~search.on] = np.inf
        unlike[one] = np.inf
        other = int(unlike.argmin())
    else:
        odds[one] = 0.0
        other = int(search.luck.choice(search.parts, p=odds / odds.sum()))
    places = {one: search.poses[other].copy(), other: search.poses[one].copy()}
    own = {part: search.poses[part].copy() for part in places}
    search.on[[one, other]] = False
    for part in sorted(places, key=lambda part: -float(search.areas[part])):
        own[part][:2] = places[part][:2]
        search.set_down_near(part, own[part])
    search.reckon()


def _anew(search: Search) -> None:
    """Some parts that stand together, most often about what lacks, are set down anew, the larger mostly first."""
    lacks = search.lacks.sum(axis=1)
    odds = np.where(search.on, lacks + 0.2 * lacks.max() + 1e-9, 0.0)
    about = int(search.luck.choice(search.parts, p=odds / odds.sum()))
    away = np.hypot(*(search.poses[:, :2] - search.poses[about, :2]).T)
    away[~search.on] = np.inf
    many = min(int(search.luck.integers(FEWEST_ANEW, MOST_ANEW + 1)), int(np.count_nonzero(search.on)))
    some = np.argsort(away, kind="stable")[:many]
    search.on[some] = False
    rank = search.areas[some] * np.exp(MIXED * search.luck.standard_normal(many))
    for part in some[np.argsort(-rank, kind="stable")].tolist():
        search.set_down(part)
    search.reckon()


def _jostled(search: Search) -> None:
    """All parts pulled one way, so that what is free comes together; then what lacks most is set down anew."""
    way = 2 * math.pi * float(search.luck.random())
    search.press(JOSTLED, (PULL * math.cos(way), PULL * math.sin(way)))
    search.press()
    for part in np.argsort(-search.lacks.sum(axis=1), kind="stable")[:3].tolist():
        if search.on[part] and search.lacks[part].max() > search.ground.ways.enough:
            search.on[part] = False
            search.set_down(part)
    search.reckon()


def _thrown(search: Search) -> None:
    """A few parts to anywhere."""
    odds = _large_more_often(search)
    many = min(int(np.count_nonzero(search.on)), int(search.luck.integers(1, MOST_THROWN + 1)))
    for part in search.luck.choice(search.parts, many, replace=False, p=odds).tolist():
        search.throw(part)
    search.reckon()
