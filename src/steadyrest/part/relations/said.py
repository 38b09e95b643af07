"""Relations between patches, said of the features that a person knows them by."""

from __future__ import annotations

from collections.abc import Sequence

from steadyrest.part.relations import impose
from steadyrest.shop.part import Relation


def named_relations(looked_at: Sequence[impose.Relation], whose: Sequence[tuple[int, str]]) -> tuple[Relation, ...]:
    """What was looked at, by features.

    Args:
        looked_at: relations between patches. whose: (patch, feature) ids.
    Returns: relations whose patches all belong to a feature, in the same order. One feature's own are its shape.
    """
    feature = dict(whose)
    out: list[Relation] = []
    for one in looked_at:
        if all(patch in feature for patch in one.patches):
            names = tuple(dict.fromkeys(feature[patch] for patch in one.patches))
            out.append(Relation(one.kind, names, one.imposed, one.odds, one.misfit_mm))
    return tuple(out)
