"""The app with five years of an invented busy shop in it: each page, twenty people at once, start, memory.

    python speed/app.py [--jobs 10000] [--data FOLDER] [--rounds 12]

One JSON line a page: `cpu_ms` is the server's own processor time for one request, asked one after the other (the honest
figure on a machine that others use too); `p50_ms`, `p95_ms` are what twenty people at once wait, `alone_ms` what one
waits. The last line tells start, memory and errors. Without --data the shop is made first, which takes minutes. Aims on
a machine of its own: 95th percentile 100 ms, find and likeness 50 ms, start 2 s, memory 400 MB, no error.
"""

from __future__ import annotations

import argparse
import http.client
import json
import os
import random
import re
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from _busy_shop import END, fill, plan_text

HOST = "127.0.0.1"
AT_ONCE, ALONE = 20, 7
WORDS = (
    "flange",
    "36.5",
    "1-7/16",
    "heat 84",
    "rowan",
    "chatter",
    "winch shaft",
    "rack 4",
    "shfat",
    "P1200",
    "42CrMo4",
)


def pages(jobs: int, luck: random.Random) -> dict[str, list[str]]:
    """Addresses by page: jobs of the last weeks and some old ones."""
    lately = [101 + luck.randint(max(jobs - 120, 0), jobs - 1) for _ in range(10)]
    old = [101 + luck.randint(0, jobs - 1) for _ in range(3)]
    return {
        "/": ["/"],
        "/today": ["/today"],
        "/week": ["/week"],
        "/clock": ["/clock", "/clock?person=ambra", "/clock?person=jorun"],
        "/rack": ["/rack"],
        "/find": [f"/find?q={word.replace(' ', '+')}" for word in WORDS],
        "/jobs/N": [f"/jobs/{number}" for number in (*lately, *old)],
        "/record/N": [f"/record/{number}" for number in (*lately, *old)],
        "/true": ["/true"],
        "/customers": ["/customers"],
        "/owed": ["/owed"],
    }


class Server:
    """A server in a process of its own."""

    def __init__(self, data: Path) -> None:
        with socket.socket() as free:
            free.bind((HOST, 0))
            self.port = free.getsockname()[1]
        begun = time.perf_counter()
        command = [sys.executable, "-m", "steadyrest", "serve", "--data", str(data), "--port", str(self.port)]
        self.process = subprocess.Popen(command, stderr=subprocess.PIPE, stdout=subprocess.DEVNULL)
        while True:
            try:
                with socket.create_connection((HOST, self.port), timeout=0.2):
                    break
            except OSError:
                if self.process.poll() is not None or time.perf_counter() - begun > 300:
                    raise
                time.sleep(0.02)
        self.start_s = time.perf_counter() - begun
        self.start_cpu_s = self.cpu_s()

    def cpu_s(self) -> float:
        """Processor time so far."""
        fields = Path(f"/proc/{self.process.pid}/stat").read_text().rsplit(")", 1)[1].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def memory_mb(self, what: str) -> float:
        """Resident memory: VmRSS now, VmHWM the most so far."""
        found = re.search(rf"{what}:\s+(\d+) kB", Path(f"/proc/{self.process.pid}/status").read_text())
        return int(found[1]) / 1024 if found else 0.0

    def got(self, link: http.client.HTTPConnection, address: str) -> int:
        link.request("GET", address)
        answer = link.getresponse()
        answer.read()
        return answer.status


@contextmanager
def served(data: Path) -> Iterator[Server]:
    server = Server(data)
    try:
        yield server
    finally:
        server.process.terminate()
        server.process.wait(timeout=30)


def alone(server: Server, addresses: list[str]) -> tuple[int, float, float, float]:
    """(status, first ms, processor ms of one request, middle wait ms) of one person's requests."""
    link = http.client.HTTPConnection(HOST, server.port, timeout=300)
    begun = time.perf_counter()
    status = server.got(link, addresses[0])
    first_s = time.perf_counter() - begun
    if status == 404:
        return status, first_s * 1e3, 0.0, 0.0
    for address in addresses:  # once each: what is at hand afterwards is at hand for everybody
        status = max(status, server.got(link, address))
    times: list[float] = []
    cpu = server.cpu_s()
    asked = (addresses * ALONE)[: max(ALONE, len(addresses))] * 3
    for address in asked:
        begun = time.perf_counter()
        status = max(status, server.got(link, address))
        times.append(time.perf_counter() - begun)
    return status, first_s * 1e3, (server.cpu_s() - cpu) / len(asked) * 1e3, statistics.median(times) * 1e3


def together(server: Server, by_page: dict[str, list[str]], rounds: int) -> tuple[dict[str, list[float]], list[str]]:
    """How long twenty people at once wait, s by page, and what went wrong."""
    waited: dict[str, list[float]] = {page: [] for page in by_page}
    wrong: list[str] = []

    def person(number: int) -> None:
        luck = random.Random(number)
        link = http.client.HTTPConnection(HOST, server.port, timeout=300)
        for _ in range(rounds):
            for page in luck.sample(sorted(by_page), len(by_page)):
                address = luck.choice(by_page[page])
                begun = time.perf_counter()
                try:
                    status = server.got(link, address)
                except OSError as fault:
                    status, link = 0, http.client.HTTPConnection(HOST, server.port, timeout=300)
                    wrong.append(f"{address}: {fault}")
                waited[page].append(time.perf_counter() - begun)
                if status not in (0, 200):
                    wrong.append(f"{address}: {status}")

    people = [threading.Thread(target=person, args=(number,)) for number in range(AT_ONCE)]
    for one in people:
        one.start()
    for one in people:
        one.join()
    return waited, wrong


def at_share(times: list[float], share: float) -> float:
    return sorted(times)[min(int(share * len(times)), len(times) - 1)] * 1e3


def at_rest(server: Server, longest_s: float = 30.0) -> None:
    """Wait until what the app has made ready beside its first pages is there: its time is not a page's."""
    until, before = time.monotonic() + longest_s, -1.0
    while time.monotonic() < until and server.cpu_s() > before + 0.05:
        before = server.cpu_s()
        time.sleep(1)


def measure(data: Path, jobs: int, rounds: int) -> None:
    by_page = pages(jobs, random.Random(3))
    with served(data) as server:
        first = server.start_s, server.start_cpu_s, server.memory_mb("VmRSS")
        at_rest(server)
        told: dict[str, tuple[int, float, float, float]] = {}
        for page, addresses in by_page.items():
            told[page] = alone(server, addresses)
        there = {page: addresses for page, addresses in by_page.items() if told[page][0] == 200}
        cpu, begun = server.cpu_s(), time.perf_counter()
        waited, wrong = together(server, there, rounds)
        passed_s, used_s = time.perf_counter() - begun, server.cpu_s() - cpu
        for page, (status, first_ms, cpu_ms, alone_ms) in told.items():
            line: dict[str, object] = {
                "page": page,
                "status": status,
                "first_ms": round(first_ms),
                "cpu_ms": round(cpu_ms, 1),
            }
            if page in there:
                times = waited[page]
                line |= {
                    "alone_ms": round(alone_ms, 1),
                    "p50_ms": round(at_share(times, 0.5)),
                    "p95_ms": round(at_share(times, 0.95)),
                    "asked": len(times),
                }
            print(json.dumps(line), flush=True)
        many = sum(map(len, waited.values()))
        print(
            json.dumps(
                {
                    "jobs": jobs,
                    "start_s": round(first[0], 2),
                    "start_cpu_s": round(first[1], 2),
                    "memory_at_start_mb": round(first[2]),
                    "memory_mb": round(server.memory_mb("VmRSS")),
                    "most_memory_mb": round(server.memory_mb("VmHWM")),
                    "at_once": AT_ONCE,
                    "asked": many,
                    "a_second": round(many / passed_s, 1),
                    "cpu_ms_each": round(used_s / many * 1e3, 1),
                    "processors": os.cpu_count(),
                    "busy_with_us": round(used_s / passed_s, 2),
                    "errors": len(wrong),
                    "first_errors": wrong[:3],
                }
            )
        )


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--jobs", type=int, default=10_000)
    asked.add_argument("--data", type=Path, help=f"a folder that _busy_shop.py filled; its last day is {END:%Y-%m-%d}")
    asked.add_argument("--rounds", type=int, default=12)
    said = asked.parse_args()
    if said.data is not None:
        measure(said.data, said.jobs, said.rounds)
        return
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder) / "shop"
        fill(data, jobs=said.jobs, plan=plan_text(Path(folder) / "plan")).close()
        measure(data, said.jobs, said.rounds)


if __name__ == "__main__":
    main()
