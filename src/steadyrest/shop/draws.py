"""Uncertain quantities as rows of draws, driven by named latent factors.

Every uncertain quantity is a row of n draws. What makes two quantities go wrong together (the shop's bias, the person,
this job's difficulty, machine trouble, supplier delay) is a named factor: a row of standard normals that both use. A
factor's row depends on the seed and its name alone, so alternatives compared share their luck, and adding a factor
changes no other row.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


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
        digest = hashlib.blake2b(f"{self.seed}/{name}".encode(), digest_size=16).digest()
        generator = np.random.Generator(np.random.PCG64(int.from_bytes(digest, "big")))
        return (generator.permutation(self.count) + generator.random(self.count)) / self.count

    def normal(self, name: str) -> FloatArray:
        """A row of standard normal draws for the factor of this name.

        Args:
            name: the factor's name.
        Returns: (count,) standard normal draws.
        """
        from scipy.special import ndtri  # late: the command's help must not wait for SciPy

        return np.asarray(ndtri(np.clip(self.uniform(name), 1e-12, 1 - 1e-12)), dtype=np.float64)


def quantiles(draws: FloatArray, *shares: float) -> tuple[float, ...]:
    """The draws' quantiles at the given shares.

    Args:
        draws: (n,) draws.
        shares: each between 0 and 1.
    Returns: one value for each share.
    """
    return tuple(float(q) for q in np.quantile(draws, shares))
