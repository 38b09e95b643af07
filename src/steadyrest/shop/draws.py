"""Uncertain quantities as rows of draws, driven by named latent factors.

Every uncertain quantity is a row of n draws. What makes two quantities go wrong together (the shop's bias, the person,
this job's difficulty, machine trouble, supplier delay) is a named factor: a row of standard normals that both use. A
factor's row depends on the seed and its name alone, so alternatives compared share their luck, and adding a factor
changes no other row.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
AT_HAND = 4096  # rows no longer than this are kept: 512 of each kind, 32 MB at most


@dataclass(frozen=True, slots=True)
class Luck:
    """The one source of chance for a plan: how many draws, from which seed."""

    count: int
    seed: int

    def __post_init__(self) -> None:
        if self.count < 1 or self.seed < 0:
            raise ValueError(f"Luck: count {self.count!r} must be at least 1 and seed {self.seed!r} not negative")

    def uniform(self, name: str) -> FloatArray:
        """A row of draws between 0 and 1 for the factor of this name: one in each of n equal strata, shuffled.

        Args:
            name: the factor's name, such as "job 214" or "step 214/turn own".
        Returns: (count,) uniform draws in (0, 1).
        Source: stratified (Latin hypercube) sampling, McKay, Beckman and Conover 1979; one independent shuffle a name.
        """
        return _uniform(self.count, self.seed, name) if self.count <= AT_HAND else _drawn(self.count, self.seed, name)

    def normal(self, name: str) -> FloatArray:
        """A row of standard normal draws for the factor of this name.

        Args:
            name: the factor's name.
        Returns: (count,) standard normal draws.
        """
        return _normal(self.count, self.seed, name) if self.count <= AT_HAND else _bell(self.uniform(name))


def _drawn(count: int, seed: int, name: str) -> FloatArray:
    digest = hashlib.blake2b(f"{seed}/{name}".encode(), digest_size=16).digest()
    generator = np.random.Generator(np.random.PCG64(int.from_bytes(digest, "big")))
    found = (generator.permutation(count) + generator.random(count)) / count
    found.setflags(write=False)
    return found


def _bell(uniform: FloatArray) -> FloatArray:
    from scipy.special import ndtri  # late: the command's help must not wait for SciPy

    found = np.asarray(ndtri(np.clip(uniform, 1e-12, 1 - 1e-12)), dtype=np.float64)
    found.setflags(write=False)
    return found


@lru_cache(maxsize=512)  # every route compared asks for the same person, the same trouble, the same edge
def _uniform(count: int, seed: int, name: str) -> FloatArray:
    return _drawn(count, seed, name)


@lru_cache(maxsize=512)
def _normal(count: int, seed: int, name: str) -> FloatArray:
    return _bell(_drawn(count, seed, name))


def quantiles(draws: FloatArray, *shares: float) -> tuple[float, ...]:
    """The draws' quantiles at the given shares.

    Args:
        draws: (n,) draws.
        shares: each between 0 and 1.
    Returns: one value for each share.
    """
    return tuple(float(q) for q in np.quantile(draws, shares))
