"""For every test: what the command line sets before it begins; few walks for garbage; in CI the same examples."""

from __future__ import annotations

import gc
import os
import sys

import pytest
from hypothesis import settings

from steadyrest.cli import surroundings

# Two workers' threads for linear algebra wait for each other: single tests took ten times as long.
assert "numpy" not in sys.modules or "OPENBLAS_NUM_THREADS" in os.environ, "linear algebra has chosen its threads"
surroundings.prepare()
settings.register_profile("here", max_examples=30, deadline=None)
# A rare example that fails is found where somebody can look into it; whether a change may land depends on the change.
settings.register_profile("ci", settings.get_profile("here"), derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") == "true" else "here")

# The tests and their libraries are some millions of things that stay: walking them again and again took a fifth.
gc.set_threshold(100_000, 50, 100)


def pytest_collection_finish(session: pytest.Session) -> None:
    gc.collect()
    gc.freeze()
