"""A week of the example shop with thirty jobs, three supposes and one night, in the app and at the command line.

The whole of it: `python -m tests.browser.busy_week --pictures DIR`. A short form is a test (test_busy_week.py).

It looks for promises that cannot be true and prices that make no sense, from outside: it asks the answers alone, and
the shop file as plain text. What it finds it says, a line each; nothing found is exit status 0.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
import tomllib
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from playwright.sync_api import Page, sync_playwright

from steadyrest.demo.programs import write_programs
from steadyrest.desk.which_shop import example_text
from tests.browser.month import HOME, NAMES, NOW, begun

JOBS = 30
ZONE = ZoneInfo("Europe/Vienna")
DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
SUPPOSES = ("lathe down 22:00 to 18:00", "ines away 08:00 to 12:00", "ines in 13:00 to 17:00 cost 120")
KINDS: tuple[tuple[str, tuple[tuple[str, tuple[str, ...], float, bool], ...]], ...] = (
    ("a worn shaft made new", (("saw", ("ambra", "ines", "jorun"), 0.3, False),
                               ("lathe", ("ambra", "jorun"), 2.2, False),
                               ("mill", ("ambra", "jorun"), 0.8, False))),
    ("brackets, cut and bent", (("jet", ("ambra", "ines"), 0.7, False), ("brake", ("ambra", "ines"), 0.8, False))),
    ("bushes from the bar, over night", (("lathe", ("ambra", "jorun"), 0.6, False), ("lathe", (), 5.5, False),
                                         ("lathe", ("ambra", "jorun"), 0.3, False))),
    ("a guard filed and fitted", (("bench", ("ambra", "ines", "jorun"), 1.6, True),)),
    ("keyways in hubs", (("mill", ("ambra", "jorun"), 1.5, False), ("", ("ambra", "ines", "jorun"), 0.4, True))),
)  # fmt: skip


def busy_shop(seed: int, count: int = JOBS, *, tight: bool = False) -> str:
    """The example shop's file with so many jobs in it, as text: due over the two weeks to come, one of its own.

    Args:
        seed: chooses the jobs.
        count: of jobs, those of the example included.
        tight: due within six days, so that machines and people are nearly full and some promises cannot hold.
    Returns: the file.
    """
    text, luck = example_text(), np.random.default_rng(seed)
    there = text.count("\n[[job]]")
    blocks = [text]
    for n in range(there, count):
        what, phases = KINDS[int(luck.integers(len(KINDS)))]
        days = int(luck.integers(1, 7) if tight else luck.integers(3, 14))
        due = (NOW + timedelta(days=days)).replace(hour=int(luck.choice((12, 16, 20))), minute=0)
        own = n == count - 1
        head = f'\n[[job]]\nid = "{400 + n}"\nwhat = "{what}"\ndue = {due.isoformat()}\n'
        head += "own = true\n" if own else f'late_per_hour = "{int(luck.integers(4, 20))}.00"\nvalue = "310.00"\n'
        blocks.append(head)
        for machine, who, hours, pauses in phases:
            took = round(3600 * hours * float(luck.uniform(0.7, 1.4)))
            named = "".join(
                (f'machine = "{machine}"\n' if machine else "", f"who = {json.dumps(who)}\n" if who else "")
            )
            blocks.append(f"[[job.phase]]\n{named}duration_s = {took}\ninterruptible = {str(pauses).lower()}\n")
    return "".join(blocks)


def command(*words: str) -> dict[str, Any]:
    """A verb's answer at the command line."""
    run = subprocess.run(
        [sys.executable, "-m", "steadyrest", *words, "--json"], cwd=HOME, capture_output=True, text=True, check=False,
        env={**os.environ, "PYTHONPATH": str(HOME / "src")},
    )  # fmt: skip
    if run.returncode:
        raise RuntimeError(f"{words}: {run.returncode}: {run.stderr.strip()}")
    return json.loads(run.stdout)


# ---- what cannot be true ---------------------------------------------------------------------------------------------


def in_the_hours(shop: Mapping[str, Any], person: str, at: datetime) -> bool:
    """Whether the shop file has this person in at this moment, by its plain text."""
    local = at.astimezone(ZONE)
    minute = local.hour * 60 + local.minute
    for day, shift in ((local, 0), (local - timedelta(days=1), 1440)):
        for text in shop["person"][person]["hours"].get(DAYS[day.weekday()], ()):
            begin, end = (60 * int(part[:2]) + int(part[3:]) for part in text.split("-"))
            if begin <= minute + shift < (end if end > begin else end + 1440):
                return True
    return False


def wrong_in_plan(shop: Mapping[str, Any], rows: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    """Two places at once, a machine twice, hours nobody is in, an order turned round."""
    busy: dict[str, list[tuple[datetime, datetime, str]]] = defaultdict(list)
    by_job: dict[str, list[tuple[datetime, datetime]]] = defaultdict(list)
    pauses = {
        (job["id"], n) for job in shop["job"] for n, phase in enumerate(job["phase"]) if phase.get("interruptible")
    }
    place: dict[str, int] = defaultdict(int)
    for row in rows:
        begin, end = datetime.fromisoformat(row["start"]), datetime.fromisoformat(row["end"])
        may_pause = (row["job"], place[row["job"]]) in pauses
        place[row["job"]] += 1
        by_job[row["job"]].append((begin, end))
        if row["machine"]:
            busy["machine " + row["machine"]].append((begin, end, row["job"]))
        if row["person"] and not may_pause:
            busy["person " + row["person"]].append((begin, end, row["job"]))
        if row["person"]:
            for at in (begin, *(() if may_pause else (begin + (end - begin) / 2, end - timedelta(minutes=1)))):
                if not in_the_hours(shop, row["person"], at):
                    yield f"{row['job']}: {row['person']} works at {at}, out of hours"
    for name, spans in busy.items():
        spans.sort()
        for (_, end, one), (begin, _, two) in pairwise(spans):
            if begin < end - timedelta(seconds=2):
                yield f"{name} is with {one} and {two} at {begin}"
    for job, spans in by_job.items():
        if any(after[0] < before[1] - timedelta(seconds=2) for before, after in pairwise(spans)):
            yield f"{job}: a phase begins before the one before it ends"


def wrong_in_odds(
    shop: Mapping[str, Any], jobs: Sequence[Mapping[str, Any]], dues: Mapping[str, datetime]
) -> Iterator[str]:
    """Odds of ten in ten where the hours of everybody together do not suffice."""
    asked = {job["id"]: sum(p["duration_s"] for p in job["phase"] if p.get("who")) for job in shop["job"]}
    whole = {job["id"]: sum(p["duration_s"] for p in job["phase"]) for job in shop["job"]}
    odds = {one["job"]: float(one["odds"]) for one in jobs}
    for name, due in dues.items():
        if odds[name] >= 0.5 and (due - NOW).total_seconds() < 0.6 * whole[name]:
            yield f"{name}: kept {odds[name]:.2f} of ten, with less time than its work takes"
        sure = [other for other in dues if dues[other] <= due and odds[other] >= 0.9]
        quarters = range(int((due - NOW) / timedelta(minutes=15)))
        there_s = 900 * sum(
            in_the_hours(shop, person, NOW + k * timedelta(minutes=15)) for person in shop["person"] for k in quarters
        )
        if sum(asked[other] for other in sure) > there_s:
            yield f"up to {name}: more hours held for sure than people are in"


def wrong_in_suppose(answer: Mapping[str, Any]) -> Iterator[str]:
    """Ways not by their rank, jobs without odds, money that does not add up."""
    jobs = {one["job"] for one in answer["after"]}
    sums = []
    for way in answer["ways"]:
        if {one["job"] for one in way["jobs"]} != jobs:
            yield f"way {way['do']}: not every job has its odds"
        late = sum(float(one["late_cost"]) for one in way["jobs"])
        if abs(late - float(way["late_cost"])) > 0.01 * len(jobs):
            yield f"way {way['do']}: lateness {way['late_cost']}, its jobs add up to {late:.2f}"
        sums.append(float(way["late_cost"]) + float(way["cost"] or 0))
    if sums != sorted(sums):
        yield f"the ways are not ranked by money: {sums}"
    none = sum(float(one["late_cost"]) for one in answer["after"])
    if sums and sums[0] > none + 0.01 * len(jobs):
        yield f"the best way costs {sums[0]:.2f}, doing nothing {none:.2f}"
    before = {one["job"]: one for one in answer["before"]}
    if sum(float(one["late_cost"]) for one in before.values()) < -0.005:
        yield "lateness earns money"
    for one in (*answer["before"], *answer["after"], *(row for way in answer["ways"] for row in way["jobs"])):
        if not 0 <= one["odds"] <= 1 or (one["odds"] == 1 and one["late_min"] > 0):
            yield f"{one['job']}: odds {one['odds']}, and {one['late_min']} min late"


def wrong_in_price(plan: Mapping[str, Any]) -> Iterator[str]:
    """An offer below what to walk away at, cost above it, breaks that make more parts cheaper than fewer."""
    price, breaks = plan["price"], plan["price"]["breaks"]
    offer, least = float(price["offer"]), float(price["walk_away"])
    if offer < least:
        yield f"the offer {offer} is below {least}"
    totals = [(int(one["quantity"]), float(one["each"]) * int(one["quantity"])) for one in breaks]
    for (few, one), (many, two) in pairwise(totals):
        if two < one:
            yield f"{many} cost {two:.2f}, {few} cost {one:.2f}"


def wrong_in_yes(plan: Mapping[str, Any], due: datetime) -> Iterator[str]:
    """A promise before the median, odds that fall as time passes, odds of a past due, a no without a reason."""
    promise, chosen = plan["promise"], plan["routes"][plan["chosen"]]
    p50, p90 = (datetime.fromisoformat(chosen["finish"][key]) for key in ("p50", "p90"))
    if p90 < p50:
        yield f"nine in ten by {p90}, half by {p50}"
    if promise["odds"] >= 0.9 and due < p90 - timedelta(minutes=16):
        yield f"kept {promise['odds']} by {due}, and nine in ten only by {p90}"
    if promise["odds"] < 0.5 and due > p50 + timedelta(minutes=1):
        yield f"kept {promise['odds']} by {due}, and half by {p50}"
    if plan["take"]["answer"] == "no" and not (plan["take"]["why"] and plan["take"]["nearest_yes"]):
        yield "a no without a reason or without its nearest yes"
    hours_s = sum(float(step["person_s"]) for step in chosen["steps"])
    if (p50 - NOW).total_seconds() < 0.4 * hours_s / 3:
        yield f"half done by {p50}, with {hours_s / 3600:.1f} hours of work"


def dues_of(shop: Mapping[str, Any]) -> dict[str, datetime]:
    """Each job's due time, by the plain text: a moment, or the next such weekday."""
    found: dict[str, datetime] = {}
    for job in shop["job"]:
        if isinstance(job["due"], datetime):
            found[job["id"]] = job["due"]
            continue
        day, clock = job["due"].split()
        at = NOW.replace(hour=int(clock[:2]), minute=int(clock[3:]))
        while DAYS[at.weekday()] != day or at <= NOW:
            at += timedelta(days=1)
        found[job["id"]] = at
    return found


# ---- the week --------------------------------------------------------------------------------------------------------


def at_the_command_line(data: Path, shop: Mapping[str, Any], *, part: Path | None) -> Iterator[str]:
    """The week, three supposes, the night and a price, each looked at."""
    said = ("--data", str(data), "--now", NOW.isoformat())
    week = command("promise", *said)
    yield from wrong_in_plan(shop, week["plan"])
    yield from wrong_in_odds(shop, week["jobs"], dues_of(shop))
    for words in SUPPOSES:
        yield from wrong_in_suppose(command("promise", *said, "--suppose", words))
    programs = write_programs(data.parent / "programs")
    for file in programs:
        machine = "mill" if "key" in file.name else "lathe"
        night = command("leave", str(file), "--machine", machine, "--shop", str(data / "shop.toml"))
        if night["may_leave"] == "yes" and night["findings"]:
            yield f"{file.name}: it may be left, in spite of {night['findings'][0]}"
    if part is not None:
        due = (NOW + timedelta(days=12)).isoformat()
        each = {}
        for quantity in (1, 4):
            plan = command("plan", str(part), "--material", "C45", "--quantity", str(quantity), "--due", due, *said)
            yield from wrong_in_price(plan)
            yield from wrong_in_yes(plan, datetime.fromisoformat(due))
            each[quantity] = float(plan["price"]["walk_away"]) / quantity
        if each[4] > each[1]:
            yield f"one of four costs {each[4]:.2f}, one alone {each[1]:.2f}"


def in_the_app(page: Page, address: str, pictures: Path | None) -> Iterator[str]:
    """The same in the app: the week, three supposes, each page as a picture."""

    def keep(name: str) -> None:
        if pictures is not None:
            for width, dark in ((360, False), (1280, False), (360, True)):
                page.set_viewport_size({"width": width, "height": 900})
                page.emulate_media(color_scheme="dark" if dark else "light")
                page.wait_for_timeout(200)
                page.screenshot(path=pictures / f"{name}-{width}{'-dark' if dark else ''}.png", full_page=True)

    page.goto(f"{address}/week")
    rows = page.locator("main table.cards >> nth=0").locator("tbody tr").count()
    if rows != JOBS:
        yield f"the week shows {rows} jobs"
    if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
        yield "the week is wider than the screen"
    keep("week")
    for n, words in enumerate(SUPPOSES):
        page.goto(f"{address}/week")
        page.evaluate("() => document.querySelectorAll('details').forEach(one => { one.open = true })")
        page.fill("#suppose [name=words]", words)
        page.locator("#suppose details button").click()
        page.wait_for_selector("#tried")
        if page.locator("#tried ol > li").count() == 0:
            yield f"{words}: no way is told"
        keep(f"suppose-{n}")
    if pictures is not None:
        page.emulate_media(media="print")
        page.pdf(path=pictures / "week.pdf", format="A4")


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--seed", type=int, default=7)
    asked.add_argument("--tight", action="store_true", help="due within six days")
    asked.add_argument("--pictures", type=Path)
    said = asked.parse_args()
    chromium = next((path for name in NAMES if (path := shutil.which(name))), None)
    found: list[str] = []
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        text = busy_shop(said.seed, tight=said.tight)
        data = Path(folder) / "data"
        data.mkdir()
        (data / "shop.toml").write_text(text, encoding="utf-8")
        page = driver.chromium.launch(executable_path=chromium, args=["--no-sandbox"]).new_page()
        with begun(Path(folder), page, said.seed) as month:
            with contextlib.suppress(FileExistsError):
                _ = said.pictures and said.pictures.mkdir(parents=True)
            found += in_the_app(page, f"http://127.0.0.1:{month.server.port}", said.pictures)
        found += at_the_command_line(data, tomllib.loads(text), part=HOME / "tests/browser/shaft.step")
    for line in found:
        print(line)
    print(f"{JOBS} jobs, {len(SUPPOSES)} supposes, a night: {len(found)} things that cannot be")
    sys.exit(1 if found else 0)


if __name__ == "__main__":
    main()
