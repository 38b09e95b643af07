from __future__ import annotations

import pytest

from steadyrest.store.opening import open_store


@pytest.fixture
def store(tmp_path):
    opened = open_store(tmp_path / "data")
    yield opened
    opened.close()
