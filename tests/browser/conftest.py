"""A real browser on the app as it is served, over a data folder with two planned jobs."""

from __future__ import annotations

import os
import shutil
import socket
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import Browser, ConsoleMessage, Page, sync_playwright

from steadyrest.web.app import make_app
from steadyrest.workers import handing_over
from tests.web import workshop

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")


@dataclass(frozen=True)
class Served:
    """at: the app's address. goes, no: numbers of its two jobs. step: a file to put in. check: of a program."""

    at: str
    goes: int
    no: int
    step: Path
    check: int


@pytest.fixture(scope="session")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("browser")
    place, goes, no = workshop.opened(folder / "data")
    step = folder / "shaft.step"
    step.write_bytes(
        handing_over.nominal_step(workshop.shaft(), progress=lambda _what, _share: None, stop=lambda: False).data
    )
    app = make_app(place, clock=lambda: workshop.NOW, hosts=workshop.HOSTS)
    listening = socket.create_server(("127.0.0.1", 0))
    server = uvicorn.Server(uvicorn.Config(app, log_level="warning", ws="none", timeout_graceful_shutdown=1))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    while not server.started:
        assert thread.is_alive(), "the app did not start"
        time.sleep(0.02)
    yield Served(f"http://127.0.0.1:{listening.getsockname()[1]}", goes, no, step, workshop.checked(place))
    server.should_exit = True
    thread.join(timeout=10)
    listening.close()
    place.close()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    with sync_playwright() as driver:
        own = Path(driver.chromium.executable_path)
        if found is None and not own.exists():
            reason = "no Chromium on the PATH and none of playwright's own"
            if os.environ.get("CI") == "true":
                pytest.fail(reason)
            pytest.skip(reason)
        started = driver.chromium.launch(executable_path=found, args=["--no-sandbox"])
        yield started
        started.close()


def worth_saying(message: ConsoleMessage) -> bool:
    """Errors and warnings, but for the browser's own word that it paints without a graphics card."""
    return message.type in ("error", "warning") and "GPU stall" not in message.text


@pytest.fixture
def said() -> list[str]:
    """What the browser complained about, such as something that the page's policy forbids."""
    return []


@pytest.fixture
def phone(browser: Browser, said: list[str]) -> Iterator[Page]:
    """A page of a phone's size."""
    context = browser.new_context(viewport={"width": 360, "height": 800})
    page = context.new_page()
    page.on("console", lambda message: said.append(message.text) if worth_saying(message) else None)
    page.on("pageerror", lambda fault: said.append(str(fault)))
    yield page
    context.close()
