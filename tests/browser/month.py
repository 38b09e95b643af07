"""A month of the shop through the browser, from the call to the paid invoice, with `kill -9` of the server at random.

The whole month: `python -m tests.browser.month --days 22 --seed 7`. A few days of it are a test (test_month.py).

The law: what the browser was answered for stands in the book exactly once, whatever came after; what it was not
answered for stands there once or not at all, and is done again where it does not.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
from playwright.sync_api import Error, Page, Response, sync_playwright

from steadyrest.desk.books import safe_keeping
from steadyrest.store.opening import Store, open_store

HOME = Path(__file__).resolve().parents[2]
PART = Path(__file__).with_name("shaft.step")  # three diameters, of which the example shop makes four
NOW = datetime(2026, 11, 27, 8, 0, tzinfo=ZoneInfo("Europe/Vienna"))
SLOWEST_S = 180.0
NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
PEOPLE = ("ambra", "ines", "jorun")
KILLED = 0.15  # of all acts; of those a third before, a third amid, a third right after the answer


@dataclass
class Book:
    """What stands in the data folder, looked at from outside of the server."""

    store: Store

    def count(self, sql: str, *given: object) -> int:
        """How many rows there are."""
        with self.store.reading() as session:
            return int(session.exec_driver_sql(f"SELECT count(*) FROM {sql}", given).scalar() or 0)

    def one(self, sql: str, *given: object) -> int:
        """One number; 0 for none."""
        with self.store.reading() as session:
            return int(session.exec_driver_sql(sql, given).scalar() or 0)


@dataclass
class Server:
    """The app, in a process that is killed and started again. starts: how often it was started."""

    data: Path
    port: int
    clock: Path
    process: subprocess.Popen[bytes] | None = None
    starts: int = 0

    def start(self) -> None:
        self.starts += 1
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.browser.month_server", str(self.data), str(self.port), str(self.clock)],
            cwd=HOME, env={**os.environ, "PYTHONPATH": str(HOME)}, start_new_session=True,
        )  # fmt: skip
        last = time.monotonic() + SLOWEST_S
        while time.monotonic() < last:
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", self.port), timeout=1):
                return
            time.sleep(0.05)
        raise TimeoutError("the server does not come up")

    def kill(self) -> None:
        """As a power cut would: no warning, its workers too."""
        if self.process is not None:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()

    def alive(self) -> bool:
        return self.process is not None and self.process.poll() is None


@dataclass
class Told:
    """Something that the browser was answered for. sql, given, much: how it is counted in the book, and how many."""

    what: str
    sql: str
    given: tuple[object, ...]
    much: int


@dataclass
class Job:
    number: int
    due: datetime
    done: list[str] = field(default_factory=list)


@dataclass
class Month:
    """told: what was answered for. lost: what should stand in the book and does not. kills: how often and when.

    planned: at which acts the server is killed, and when; None: at random.
    """

    server: Server
    page: Page
    book: Book
    luck: np.random.Generator
    now: datetime
    part: Path
    planned: Mapping[int, str] | None = None
    told: list[Told] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)
    kills: dict[str, int] = field(default_factory=lambda: {"before": 0, "amid": 0, "after": 0})
    jobs: list[Job] = field(default_factory=list)
    answers: list[int] = field(default_factory=list)
    failures: int = 0
    marks: int = 0

    def __post_init__(self) -> None:
        def heard(answer: Response) -> None:
            if answer.request.method == "POST":
                self.answers.append(answer.status)

        def failed(request: object) -> None:
            self.failures += getattr(request, "method", "") == "POST"

        self.page.on("response", heard)
        self.page.on("requestfailed", failed)

    # ---- the clock, the server, one act ------------------------------------------------------------------------

    def later(self, minutes: float) -> None:
        self.now += timedelta(minutes=minutes)
        half = self.server.clock.with_suffix(".half")
        half.write_text(self.now.isoformat())
        half.replace(self.server.clock)

    def mark(self, word: str) -> str:
        """Words that nobody else says."""
        self.marks += 1
        return f"{word} {self.marks}"

    def act(self, what: str, fill: Callable[[Page], None], button: str, sql: str, *given: object) -> None:
        """One form, filled and sent; what it writes is counted.

        Args:
            what: in few words.
            fill: opens the page and fills the form.
            button: selector of what is pressed.
            sql, given: counts the rows that it adds one to.
        """
        before = self.book.count(sql, *given)
        how = self.kill_now()
        if how == "before":
            self.killed(how)
        answered = self.sent(fill, button, amid=how == "amid")
        if how == "after":
            self.killed(how)
        found = self.book.count(sql, *given)
        if answered and found != before + 1:
            self.lost.append(f"{what}: answered for, and {found - before} times in the book")
        if not answered:
            if found not in (before, before + 1):
                self.lost.append(f"{what}: not answered for, and {found - before} times in the book")
            if found == before and not self.sent(fill, button, amid=False):
                raise AssertionError(f"{what}: refused: {self.page.locator('main').inner_text()[:400]}")
        self.told.append(Told(what, sql, given, before + 1))
        self.later(float(self.luck.uniform(3, 20)))

    def kill_now(self) -> str:
        """Whether, and when, the server is killed at this act."""
        if self.planned is not None:
            return self.planned.get(len(self.told), "")
        dice = float(self.luck.random())
        return ("before", "amid", "after")[int(3 * dice / KILLED)] if dice < KILLED else ""

    def sent(self, fill: Callable[[Page], None], button: str, *, amid: bool) -> bool:
        """Fill a form and send it; whether the browser was answered for it."""
        fill(self.page)
        self.answers.clear()
        self.failures = 0
        timer = threading.Timer(float(self.luck.uniform(0, 0.25)), self.server.kill) if amid else None
        if timer is not None:
            self.kills["amid"] += 1
            timer.start()
        with contextlib.suppress(Error):
            self.page.locator(button).first.click(no_wait_after=True, timeout=10_000)
        last = time.monotonic() + SLOWEST_S
        while not self.answers and not self.failures and time.monotonic() < last:
            with contextlib.suppress(Error):
                self.page.wait_for_timeout(20)
        if timer is not None:
            timer.join()
            self.server.start()
        return bool(self.answers) and self.answers[0] in (200, 303)

    def killed(self, how: str) -> None:
        self.kills[how] += 1
        self.server.kill()
        self.server.start()

    def go(self, path: str) -> None:
        """Open a page; the browser may still be leaving the one before."""
        for _ in range(3):
            with contextlib.suppress(Error):
                self.page.goto(f"http://127.0.0.1:{self.server.port}{path}")
                return
            self.page.wait_for_timeout(100)
        self.page.goto(f"http://127.0.0.1:{self.server.port}{path}")

    # ---- what is done --------------------------------------------------------------------------------------------

    def call(self) -> None:
        """Somebody calls: a part is put in, read and planned, with a kill while it is read."""
        what, due = self.mark("winch shaft"), self.now + timedelta(days=9)

        def fill(page: Page) -> None:
            self.go("/new")
            page.set_input_files("[name=file]", self.part)
            page.fill("[name=what]", what)
            page.fill("[name=customer]", f"Ferry office {1 + self.marks % 3}")
            page.fill("[name=material]", "C45")
            page.fill("[name=quantity]", "4")
            page.fill("[name=due]", f"{due:%Y-%m-%dT%H:%M}")

        self.act(f"call for {what}", fill, "text=Read it and plan it", "task WHERE asked LIKE ?", f'%"{what}"%')
        if self.planned is None and float(self.luck.random()) < 0.4:
            time.sleep(float(self.luck.uniform(0, 2)))
            self.killed("amid")  # what was being read is taken up again
        last = time.monotonic() + SLOWEST_S
        while not self.book.count("job WHERE what = ?", what):
            if time.monotonic() > last:
                raise TimeoutError(f"{what} does not become a job")
            time.sleep(0.2)
        self.jobs.append(Job(self.book.one("SELECT number FROM job WHERE what = ?", what), due))

    def answer(self, job: Job, button: str, kind: str) -> None:
        """Say yes, ready or delivered on the job's page."""

        def fill(page: Page) -> None:
            self.go(f"/jobs/{job.number}")
            page.evaluate("() => document.querySelectorAll('details').forEach(one => { one.open = true })")

        self.act(f"{kind} {job.number}", fill, f"#said button:has-text('{button}')", LEDGER, job.number, kind)
        job.done.append(kind)

    def bought(self, job: Job, said: str) -> None:
        """What it needs is ordered, or here."""
        self.go("/today")
        form = f"form[action='/jobs/{job.number}/bought'] button[value={said}]"
        if self.page.locator(form).count():
            self.act(f"{said} {job.number}", lambda _page: self.go("/today"), form, LEDGER, job.number, said)

    def worked(self, job: Job, person: str) -> None:
        """Start, note, stop at the clock."""

        def at_the_clock(_page: Page) -> None:
            self.go(f"/clock?person={person}")

        mine = "clock WHERE person = ? AND kind = ?"
        start = f".offer form:has(input[name=job][value='{job.number}']) button.wide >> nth=0"
        self.act(f"{person} starts {job.number}", at_the_clock, start, mine, person, "start")
        self.noted(person)
        self.later(float(self.luck.uniform(40, 90)))
        self.act(f"{person} stops", at_the_clock, ".running button:has-text('Stop')", mine, person, "stop")

    def noted(self, person: str) -> None:
        words = self.mark("measured the seat")

        def fill(page: Page) -> None:
            self.go(f"/clock?person={person}")
            page.fill("[name=words]", words)

        self.act(f"note of {person}", fill, "button:has-text('Write it down')", "clock WHERE words = ?", words)

    def piece(self) -> None:
        """A bar came."""
        place = self.mark("rack")

        def fill(page: Page) -> None:
            self.go("/rack")
            form = page.locator("form[method=post]")
            form.locator("[name=shape]").select_option("round")
            for name, value in (("size", "40"), ("length", "900"), ("material", "C45"), ("place", place)):
                form.locator(f"[name={name}]").fill(value)

        self.act("a bar came", fill, "text=Put it in the book", "movement WHERE body LIKE ?", f'%"{place}"%')

    def tool(self) -> None:
        """Drills are put in the book once, and used up since."""
        found = self.book.one("SELECT id FROM thing WHERE name = 'drill 6.8'")
        if not found:

            def fill(page: Page) -> None:
                self.go("/things")
                page.select_option("[name=kind]", "tool")
                page.fill("[name=name]", "drill 6.8")
                page.fill("[name=count]", "60")

            self.act("drills", fill, "text=Put it in the book", "thing WHERE name = ?", "drill 6.8")
            return
        self.act(
            "a drill used up", lambda _page: self.go(f"/things/{found}"), "button[value=used]",
            "thing_entry WHERE kind = 'used' AND thing_id = ?", found,
        )  # fmt: skip

    def invoiced(self, job: Job) -> None:
        def fill(page: Page) -> None:
            self.go(f"/record/{job.number}")
            page.locator("select[name=how]").select_option("offer")

        sql = "invoice WHERE job_id = (SELECT id FROM job WHERE number = ?)"
        self.act(f"invoice of {job.number}", fill, "text=Issue the next invoice", sql, job.number)
        job.done.append("invoiced")

    def paid(self, job: Job) -> None:
        """The customer paid all of it."""
        asked = "SELECT i.number FROM invoice i JOIN job j ON j.id = i.job_id WHERE j.number = ?"
        number = self.book.one(asked, job.number)

        def fill(page: Page) -> None:
            self.go("/owed")
            every = page.locator("form:has(input[value=received]) select[name=aim] option")
            value = next(
                one.get_attribute("value") for one in every.all() if f"nvoice {number}" in (one.text_content() or "")
            )
            page.locator("form:has(input[value=received]) select[name=aim]").select_option(value)

        form = "form:has(input[value=received]) button"
        self.act(f"payment of {job.number}", fill, form, "payment WHERE kind = ?", "received")
        job.done.append("paid")

    # ---- days ----------------------------------------------------------------------------------------------------

    def day(self, number: int, *, calls: bool) -> None:
        """One day of the shop: a call, yes to it, what is bought, work, what leaves, invoices, money."""
        self.now = self.now.replace(hour=8, minute=0)
        self.later(float(self.luck.uniform(0, 20)))
        if calls:
            self.call()
        self.piece()
        self.tool()
        for job in self.jobs:
            if "paid" in job.done:
                continue
            if "promised" not in job.done:
                self.answer(job, "Take it", "promised")
                self.bought(job, "ordered")
            elif "ready" not in job.done:
                self.bought(job, "arrived")
                self.worked(job, PEOPLE[number % len(PEOPLE)])
                self.answer(job, "It is ready", "ready")
            elif "delivered" not in job.done:
                self.answer(job, "It is delivered", "delivered")
                self.invoiced(job)
            else:
                self.paid(job)
        self.now += timedelta(days=3 if self.now.weekday() == 4 else 1)

    def looked_at(self) -> list[str]:
        """At the end: everything that was answered for stands in the book, and the folder is whole."""
        for one in self.told:
            found = self.book.count(one.sql, *one.given)
            if found < one.much:
                self.lost.append(f"{one.what}: gone at the end ({found} of {one.much})")
        self.lost += [f"{one.where} {one.what}" for one in safe_keeping.look(self.server.data).damage]
        return self.lost


LEDGER = "ledger WHERE job_id = (SELECT id FROM job WHERE number = ?) AND kind = ?"


@contextlib.contextmanager
def begun(folder: Path, page: Page, seed: int, planned: Mapping[int, str] | None = None) -> Iterator[Month]:
    """A shop before its first day, with its server running."""
    clock, data = folder / "clock", folder / "data"
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = int(free.getsockname()[1])
    clock.write_text(NOW.isoformat())
    server = Server(data, port, clock)
    server.start()
    store = open_store(data)
    page.set_default_timeout(SLOWEST_S * 1000)
    try:
        yield Month(server, page, Book(store), np.random.default_rng(seed), NOW, PART, planned)
    finally:
        server.kill()
        store.close()


def main() -> None:
    """The whole month, at the command line."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--days", type=int, default=22)
    asked.add_argument("--seed", type=int, default=7)
    said = asked.parse_args()
    chromium = next((path for name in NAMES if (path := shutil.which(name))), None)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        page = browser.new_context(viewport={"width": 360, "height": 800}).new_page()
        with begun(Path(folder), page, said.seed) as month:
            for number in range(said.days):
                month.day(number, calls=number % 3 == 0 and number < said.days - 4)
                kills = sum(month.kills.values())
                print(f"day {number + 1}: {len(month.told)} acts, {kills} kills, {len(month.lost)} lost", flush=True)
            lost = month.looked_at()
            paid = sum("paid" in job.done for job in month.jobs)
            print(f"{len(month.jobs)} jobs, {paid} paid; {len(month.told)} acts answered for; kills {month.kills}")
            print("\n".join(lost) or "nothing lost")
        browser.close()
    sys.exit(1 if lost else 0)


if __name__ == "__main__":
    main()
