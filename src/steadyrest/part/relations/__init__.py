"""How a part's surfaces stand to each other: found on the patch graph, then imposed where the evidence allows it.

A free fit gives each surface its own direction, place and radius. A relation (parallel, square, coaxial, equal radius,
symmetric, equally spaced) says that some of these numbers are one number. Here each patch stands for its points by its
normal equations (standing.py); a relation is rows of constraints between patches (relation.py, candidates.py,
spacing.py); the constrained least-squares fit and the choice by BIC are in impose.py. Start there.
Not here: what a shape is (segment), what a machinist calls it (features).
"""
