from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from steadyrest.web.app import make_app
from tests.web import workshop


@dataclass(frozen=True)
class Open:
    """The app over a data folder. goes, no: numbers of its two jobs. guard: the token of its forms.

    folder: the data folder.
    """

    client: TestClient
    goes: int
    no: int
    guard: str
    folder: Path


@pytest.fixture(scope="session")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Open]:
    place, goes, no = workshop.opened(tmp_path_factory.mktemp("web") / "data")
    made = make_app(place, clock=lambda: workshop.NOW, hosts=workshop.HOSTS)
    with TestClient(made, raise_server_exceptions=False, follow_redirects=False) as client:
        yield Open(client, goes, no, made.state.house.token.value, place.store.folder)
    place.close()
