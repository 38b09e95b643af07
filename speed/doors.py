"""How long a person waits at the doors: the command's help, a plan, a page, a paper.

Run: python speed/doors.py, or python speed/doors.py plan for one of them. One JSON line a case, each in a process of
its own; what its keys, cold and warm mean stands in _shared.py.
"""

from __future__ import annotations

import http.client
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from _served import HOST, served
from _shared import by_turns, each_in_its_own_process, line, of_children_mb, once

if TYPE_CHECKING:
    from steadyrest.desk.plan.keeping import KeptJob

DRAWS, TWIN_DRAWS = 1000, 10
PAGES = 20
LINE = """#set document(title: [One line])
#set text(font: "Atkinson Hyperlegible Next")
One line, number {}.
"""


def start() -> None:
    """`steadyrest --help` beside a Python that imports argparse and ends."""
    ours, peer = ("-m", "steadyrest", "--help"), ("-c", "import argparse")

    def run(words: tuple[str, ...], *flags: str) -> None:
        subprocess.run([sys.executable, *flags, *words], check=True, stdout=subprocess.DEVNULL)

    def first(words: tuple[str, ...]) -> float:
        # An empty place for bytecode: every module is compiled, as at the first start after installing.
        with tempfile.TemporaryDirectory() as empty:
            return once(lambda: run(words, "-X", f"pycache_prefix={empty}"))

    told = "python -c 'import argparse'"
    cold_s, peer_cold_s = first(ours), first(peer)
    run(ours)
    warm_s, peer_s = by_turns(lambda: run(ours), lambda: run(peer), 15)
    peak = of_children_mb()
    line("help, cold (no bytecode yet)", ours_s=cold_s, peer=told, peer_s=peer_cold_s, peak=peak)
    line("help, warm", ours_s=warm_s, peer=told, peer_s=peer_s, peak=peak)


def plan() -> None:
    """All six answers for the demo part once it is read; and one pass of its week, beside the plain twin's.

    The answers look at every route, search the order of the week, and run each over all draws. The twin of
    tests/oracles runs the order found once, and must agree on every job's finish in each draw that it runs.
    """
    from steadyrest.demo import story
    from steadyrest.desk.plan import plan_part
    from steadyrest.desk.which_shop import which_shop
    from steadyrest.part.read import read
    from steadyrest.promise.arrival import arrival
    from steadyrest.promise.dispatch import dispatch
    from steadyrest.promise.promise import dearest, planned
    from steadyrest.promise.shop_week import route_job
    from steadyrest.shop.draws import Luck
    from tests.oracles.slow_dispatch import simulate
    from tests.promise.weeks import plainly

    part = read(demo_scan(), "shaft.ply", unit="mm", progress=quiet, stop=never)
    said = which_shop(None, None)
    shop, metal = said.shop, plan_part.metal_of(story.METAL, said.shop)
    now, due = datetime.fromisoformat(story.NOW), datetime.fromisoformat(story.DUE)
    answers: list[plan_part.PlanAnswer] = []

    def six_answers() -> None:
        answer = plan_part.plan(
            part, said=said, metal=metal, quantity=1, due=due, now=now, seed=1, what=story.WHAT, progress=quiet,
            stop=never,
        )  # fmt: skip
        answers.append(answer)

    cold_s = once(six_answers)
    best = answers[0].best
    assert best is not None
    assert best.promise is not None

    luck = Luck(DRAWS, 1)
    comes = arrival(best.route.buy, now=now, shop=shop, luck=luck)
    late = float(dearest(shop))
    job = route_job(best.route, job_id="this job", release_s=0.0, due_s=(due - now).total_seconds(), weight=late)
    found = planned(shop, job, comes, now=now, luck=luck, stop=never, progress=quiet)
    week, order = found.week, [int(j) for j in found.order]
    assert tuple(week.jobs[j].id for j in order) == best.promise.order

    def twin() -> None:
        for d in range(TWIN_DRAWS):
            people, jobs, factors = plainly(week, found.draws, d)
            done = simulate(people, jobs, order, factors)
            assert [one.ended[-1] for one in done] == found.outcome.finish_s[d].tolist()

    scale = DRAWS / TWIN_DRAWS
    warm_s, peer_s = by_turns(six_answers, twin, 5)
    pass_s, peer_pass_s = by_turns(lambda: dispatch(found.flat, found.draws, found.order), twin, 9)
    peer = f"plain Python, one pass of that week, scaled from {TWIN_DRAWS} draws"
    six = f"six answers for the demo part, {len(answers[0].routes)} routes, {DRAWS} draws"
    line(f"{six}, cold (compiled loops from their cache)", ours_s=cold_s, peer=peer, peer_s=peer_s * scale)
    line(f"{six}, warm", ours_s=warm_s, peer=peer, peer_s=peer_s * scale)
    one = f"one pass of its week, {len(week.phases())} phases, {DRAWS} draws, warm"
    line(one, ours_s=pass_s, peer=peer, peer_s=peer_pass_s * scale)


def page() -> None:
    """The demo job's page beside a bare app that sends the same bytes, each in a server of its own."""
    with demo_folder() as data:
        address = f"/jobs/{demo_job(data).job.number}"
        with served("app", data) as (port, peak):
            link = http.client.HTTPConnection(HOST, port)
            cold_s = once(lambda: got(link, address))
            body = got(link, address)
            kept = data / "page.html"
            kept.write_bytes(body)
            with served("bare", kept) as (peer_port, _):
                peer_link = http.client.HTTPConnection(HOST, peer_port)
                peer_cold_s = once(lambda: got(peer_link, address))
                warm_s, peer_s = by_turns(lambda: got(link, address), lambda: got(peer_link, address), PAGES)
                assert got(link, address) == got(peer_link, address)
    case, peer = f"the job's page, {len(body) / 1000:.0f} kB", "bare Starlette, the same bytes"
    line(f"{case}, cold (the server's first)", ours_s=cold_s, peer=peer, peer_s=peer_cold_s, peak=peak[0])
    line(f"{case}, warm, middle of {PAGES}", ours_s=warm_s, peer=peer, peer_s=peer_s, peak=peak[0])


def got(link: http.client.HTTPConnection, address: str) -> bytes:
    link.request("GET", address)
    answer = link.getresponse()
    body = answer.read()
    assert answer.status == 200, f"{address}: {answer.status}"
    return body


def paper() -> None:
    """The demo job's job sheet as PDF, beside a page of one line through the same typesetter, fonts and standards."""
    from steadyrest.demo import story
    from steadyrest.desk.plan import issue_paper

    with demo_folder() as data:
        kept = demo_job(data)
        made = datetime.fromisoformat(story.NOW)
        fresh = count()  # the typesetter remembers what it has set: each sheet and each line is a new one
        file = data / "one-line.typ"

        def sheet(number: int) -> bytes:
            return issue_paper.job_paper(kept, made=made, link=f"http://127.0.0.1:8744/jobs/{number}")

        def one_line() -> None:
            file.write_text(LINE.format(next(fresh)), encoding="utf-8")
            typeset_line(file)

        cold_s = once(lambda: sheet(next(fresh)))
        warm_s, peer_s = by_turns(lambda: sheet(next(fresh)), one_line, 7)
        pdf = sheet(0)
        assert pdf.startswith(b"%PDF")
        assert pdf == sheet(0), "the same data give the same bytes"
    case, peer = f"the job sheet, {len(pdf) / 1000:.0f} kB", "a page of one line, the same typesetter, warm"
    line(f"{case}, cold (fonts not yet loaded)", ours_s=cold_s, peer=peer, peer_s=peer_s)
    line(f"{case}, warm", ours_s=warm_s, peer=peer, peer_s=peer_s)


def typeset_line(file: Path) -> None:
    import typst

    from steadyrest.papers.typesetting import STANDARDS, fonts

    compiler = typst.Compiler(file, root=file.parent, font_paths=fonts(), ignore_system_fonts=True)
    assert compiler.compile(format="pdf", pdf_standards=STANDARDS)


def quiet(_what: str, _share: float) -> None:
    """Nobody listens."""


def never() -> bool:
    return False


def demo_scan() -> bytes:
    """The demo's scan, as the bytes of its file."""
    from steadyrest.demo import scan, story

    settings = scan.ScanSettings(voxel_mm=story.USUAL_MM)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "shaft.ply"
        scan.write_ply(file, *scan.scan(scan.stage_lift_shaft(), settings, seed=1))
        return file.read_bytes()


@contextmanager
def demo_folder() -> Iterator[Path]:
    """A data folder with the demo's job in it."""
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder) / "demo"
        command = [sys.executable, "-m", "steadyrest", "demo", "--data", str(data)]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        yield data


def demo_job(data: Path) -> KeptJob:
    from steadyrest.desk.place import open_place
    from steadyrest.desk.plan import keeping

    place = open_place(data, None)
    try:
        return keeping.kept_jobs(place.store)[0]
    finally:
        place.close()


CASES = {"start": start, "plan": plan, "page": page, "paper": paper}

if __name__ == "__main__":
    each_in_its_own_process(__file__, CASES)
