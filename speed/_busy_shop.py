"""Five years of an invented busy shop, in a data folder: rows as the store writes them, sealed in their order.

    python speed/_busy_shop.py FOLDER [--jobs 10000]

Everything is drawn from one seed. Jobs share one plan's value (the chosen way only, so a real folder is larger), with
each job's own words and times in it. Rows go in in bulk; what is folded from them is then made anew.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import random
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from steadyrest.desk.place import open_place
from steadyrest.desk.plan import in_short
from steadyrest.desk.plan.plan_part import PlanAnswer
from steadyrest.store import folds, schema, seals
from steadyrest.store.opening import Session, Store
from steadyrest.store.values import from_json, to_json

END = datetime(2026, 11, 30, 12, 0, tzinfo=UTC)
YEARS, SEED = 5, 1
PEOPLE = ("ambra", "ines", "jorun")
OPEN_DAYS = 21  # of the last days, in which work that was taken is still open
FIRST = (
    "Amber",
    "Birch",
    "Copper",
    "Dusk",
    "Elder",
    "Fern",
    "Granite",
    "Harbour",
    "Ivy",
    "Juniper",
    "Kestrel",
    "Linden",
    "Marsh",
    "North",
    "Orchard",
    "Pebble",
    "Quarry",
    "Rowan",
    "Saltern",
    "Thistle",
    "Umber",
    "Violet",
    "Willow",
    "Yarrow",
)
SECOND = (
    "Bakery",
    "Brewery",
    "Cinema",
    "Dairy",
    "Ferry",
    "Foundry",
    "Joinery",
    "Laundry",
    "Mill",
    "Playhouse",
    "Press",
    "Pumps",
    "Sawmill",
    "Tannery",
    "Windworks",
)
WHAT = (
    "shaft",
    "bushing",
    "flange",
    "bracket",
    "gear blank",
    "spindle",
    "roller",
    "hub",
    "pin",
    "lever",
    "plate",
    "coupling half",
    "sleeve",
    "housing",
    "guide rail",
    "cover",
    "clevis",
    "journal",
    "nut",
    "wedge",
)
OF = (
    "winch",
    "mixer",
    "conveyor",
    "stage lift",
    "gearbox",
    "pump",
    "press",
    "saw",
    "loom",
    "crane",
    "capstan",
    "oven",
    "filler",
    "dough kneader",
    "turntable",
)
NOTES = (
    "bore came out tapered, bored again",
    "waits for the grinder",
    "chatter at the long end, steady set",
    "customer wants the edges broken",
    "keyway was worn, next size taken",
    "tool changed, edge chipped",
    "first part measured, goes on",
    "thread gauge went halfway, chased",
    "left running over noon",
    "material from another bar, heat number noted",
    "drawing says Ø36,5, measured 36.48",
    "set-up taken down",
)
METALS = ("C45", "42CrMo4", "S355J2", "6082-T6", "CuZn39Pb3", "1.4301", "1.4404")
INCHES = ((1.0, "1 in"), (1.4375, "1-7/16 in"), (0.75, "3/4 in"), (2.25, "2-1/4 in"), (0.3125, "5/16 in"))


def text(at: datetime) -> str:
    return at.astimezone(UTC).isoformat(timespec="microseconds")


@dataclass(slots=True)
class Writer:
    """Adds rows and their seals."""

    session: Session
    before: str = seals.FIRST
    ids: dict[str, int] = field(default_factory=dict)
    columns: dict[str, tuple[str, ...]] = field(default_factory=dict)
    waiting: dict[str, list[tuple[object, ...]]] = field(default_factory=dict)
    sealed: list[tuple[str, str, str]] = field(default_factory=list)

    def add(self, of: str, values: Mapping[str, object], key: str = "id") -> int:
        """A row with the next id (or the key that it brings), and its seal."""
        number = self.ids[of] = self.ids.get(of, 0) + 1
        row = {"id": number, **values} if key == "id" else dict(values)
        table = schema.TABLES.tables[of]
        names = self.columns.setdefault(of, tuple(column.name for column in table.columns))
        changing = seals.CHANGING.get(of, frozenset())
        said = {name: row.get(name) for name in names if name not in changing}
        self.before = seals.digest(self.before, of, str(row[key]), said)
        self.sealed.append((of, str(row[key]), self.before))
        self.waiting.setdefault(of, []).append(tuple(row.get(name) for name in names))
        if len(self.sealed) >= 2000:
            self.flush()
        return number

    def plain(self, of: str, values: Mapping[str, object]) -> None:
        """A row that carries no seal."""
        names = self.columns.setdefault(of, tuple(column.name for column in schema.TABLES.tables[of].columns))
        self.waiting.setdefault(of, []).append(tuple(values.get(name) for name in names))

    def flush(self) -> None:
        """Write what waits, tables that are pointed to first."""
        for table in schema.TABLES.sorted_tables:
            rows = self.waiting.pop(table.name, [])
            if rows:
                names = self.columns[table.name]
                marks = ", ".join("?" * len(names))
                self.session.exec_driver_sql(f"INSERT INTO {table.name} ({', '.join(names)}) VALUES ({marks})", rows)
        if self.sealed:
            self.session.exec_driver_sql("INSERT INTO seal (of, row, digest) VALUES (?, ?, ?)", self.sealed)
            self.sealed = []


@dataclass(slots=True)
class Work:
    """A job that was taken: while it may be worked on, and how many steps its plan has."""

    id: int
    begun: datetime
    over: datetime
    open: bool


def plan_text(folder: Path) -> str:
    """A plan of the example shop for a turned shaft, the chosen way only, as kept."""
    from tests.web import workshop

    place = open_place(folder, None)
    try:
        number = workshop.planned(place, workshop.shaft(), "WHAT-IT-IS", due=workshop.DUE, customer="WHOSE-IT-IS")
        with place.store.reading() as session:
            asked = "SELECT p.value FROM plan p JOIN job j ON j.id = p.job_id WHERE j.number = ?"
            value = str(session.exec_driver_sql(asked, (number,)).scalar())
    finally:
        place.close()
    answer = from_json(value, PlanAnswer, where="the plan")
    assert answer.best is not None
    return to_json(replace(answer, routes=(answer.best,), chosen=0))


def part_value(luck: random.Random, template: Mapping[str, Any], name: str) -> str:
    """A part with sizes of its own, laid out as the store keeps one."""
    features: list[dict[str, Any]] = []
    for k in range(luck.randint(3, 7)):
        one = json.loads(json.dumps(template["value"]["features"][k % len(template["value"]["features"])]))
        one["id"] = f"S{k + 1}"
        for size in one["sizes"]:
            if luck.random() < 0.25:
                value, shown = luck.choice(INCHES)
                value *= 25.4
            else:
                value = luck.choice((luck.randint(6, 240), luck.randint(12, 480) / 2, luck.randint(60, 2400) / 10))
                shown = f"{value:g} mm"
            size["estimate"] = size["measured"] = value
            size["nominal"]["value"], size["nominal"]["shown"] = value, shown
        features.append(one)
    size_mm = [luck.uniform(40, 400), luck.uniform(20, 120), luck.uniform(20, 120)]
    value = {
        **template["value"],
        "name": name,
        "features": features,
        "size_mm": size_mm,
        "volume_mm3": size_mm[0] * size_mm[1] * size_mm[2] * 0.6,
    }
    return json.dumps({**template, "value": value}, ensure_ascii=False, separators=(",", ":"))


class Shop:
    """Draws the shop's five years. jobs: how many; everything else goes by that."""

    def __init__(self, writer: Writer, luck: random.Random, jobs: int, plan: str) -> None:
        self.writer, self.add, self.luck, self.jobs, self.plan = writer, writer.add, luck, jobs, plan
        self.in_short = to_json(in_short.in_short(from_json(plan, PlanAnswer, where="the plan")))
        self.part = json.loads(plan)["value"]["part"]
        self.template = {"version": 1, "kind": "Part", "value": self.part}
        self.begin = END - timedelta(days=365 * YEARS)
        self.works: list[Work] = []
        self.invoices = 0

    def short(self, plan: int) -> None:
        """The plan in short, as keeping.py keeps it beside each."""
        values = {"plan_id": plan, "version": in_short.VERSION, "value": self.in_short}
        self.writer.plain("plan_short", values)

    def ledger(self, job: int | None, kind: str, at: datetime, body: Mapping[str, object]) -> int:
        said = json.dumps(dict(body), ensure_ascii=False, sort_keys=True)
        values = {
            "job_id": job,
            "kind": kind,
            "who": self.luck.choice(PEOPLE),
            "happened": text(at),
            "told": text(at),
            "body": said,
        }
        return self.add("ledger", values)

    def everything(self) -> None:
        names = [f"{a} {b}" for a in FIRST for b in SECOND]
        self.customers = [self.add("customer", {"name": name}) for name in names[: max(self.jobs // 30, 3)]]
        self.names = names
        paper = hashlib.sha256(b"paper").hexdigest()
        self.paper = paper
        values = {"sha256": paper, "size_bytes": 5, "name": "paper.pdf", "kind": "paper", "kept_at": text(self.begin)}
        self.add("file", values, key="sha256")
        for k in range(self.jobs):
            self.job(k, self.begin + (END - self.begin) * ((k + 1) / (self.jobs + 1)))
        self.clock(self.jobs * 20)
        self.pieces(max(self.jobs // 4, 40))
        for k in range(self.jobs // 5):
            at = self.begin + (END - self.begin) * ((k + 1) / (self.jobs // 5 + 1))
            body = {
                "program": f"{self.luck.choice(WHAT).replace(' ', '-')}-{k}.nc",
                "machine": self.luck.choice(("lathe", "mill")),
                "sha256": hashlib.sha256(str(k).encode()).hexdigest(),
                "answer": "yes",
                "unit": "",
                "blank": "",
            }
            self.ledger(None, "program checked", at, body)

    def job(self, k: int, made: datetime) -> None:
        luck = self.luck
        due = made + timedelta(days=luck.randint(2, 20))
        what = f"{luck.choice(OF)} {luck.choice(WHAT)}"
        customer = luck.choice(self.customers)
        values = {
            "number": 101 + k,
            "customer_id": customer,
            "what": what,
            "due": text(due),
            "charging": "fixed",
            "made_at": text(made),
        }
        job = self.add("job", values)
        for name in (f"{what.replace(' ', '-')}-{k}.step", f"{luck.choice(WHAT).replace(' ', '-')}-{k}b.step"):
            part = self.add(
                "part",
                {
                    "job_id": job,
                    "name": name,
                    "revision": 1,
                    "file_sha256": None,
                    "read_at": text(made),
                    "value": part_value(luck, self.template, name),
                },
            )
        value = self.plan.replace("WHAT-IT-IS", what).replace("WHOSE-IT-IS", self.names[customer - 1])
        plan = self.add(
            "plan", {"job_id": job, "part_id": part, "seed": 1, "made_at": text(made), "chosen": 1, "value": value}
        )
        self.short(plan)
        self.add("promise", {"job_id": job, "plan_id": plan, "made_at": text(made), "due": text(due), "odds": 0.92})
        self.story(job, made, due, customer, lately=END - made < timedelta(days=OPEN_DAYS))

    def story(self, job: int, made: datetime, due: datetime, customer: int, *, lately: bool) -> None:
        """What became of it."""
        luck, price = self.luck, f"{self.luck.randint(120, 4000)}.00"
        at = made + timedelta(hours=luck.randint(1, 30))
        if luck.random() < 0.3 or at >= END:
            if at < END and luck.random() < 0.97:
                self.ledger(
                    job,
                    "declined",
                    at,
                    {"why": luck.choice(("price", "too late", "no answer")), "words": "", "offer": price},
                )
            return
        self.ledger(
            job,
            "promised",
            at,
            {
                "due": due.isoformat(),
                "price": price,
                "odds": round(luck.uniform(0.5, 0.99), 3),
                "words": "",
                "offer": price,
            },
        )
        over = at + (due - at) * luck.uniform(0.5, 1.2)
        still = lately and (over >= END or luck.random() < 0.4)
        self.works.append(Work(job, at, END if still else min(over, END), still))
        if still:
            return
        over = min(over, END - timedelta(hours=1))
        for kind in ("begun", "ready", "delivered"):
            self.ledger(
                job, kind, over - timedelta(hours={"begun": 8, "ready": 2, "delivered": 0}[kind]), {"words": ""}
            )
        for k in range(4):
            body = {
                "feature": f"S{k + 1}",
                "size": "diameter_mm",
                "piece": 1,
                "readings_mm": "24.99 25.0",
                "gauge": "micrometer",
                "part_c": None,
                "gauge_c": None,
                "size_mm": 24.995,
                "u_mm": 0.004,
                "low_mm": 24.98,
                "high_mm": 25.0,
                "answer": "right",
                "odds": 0.97,
            }
            self.ledger(job, "measured", over - timedelta(hours=1), body)
        self.charge(job, customer, over, price)

    def charge(self, job: int, customer: int, over: datetime, price: str) -> None:
        """The invoice, and mostly its payment."""
        self.invoices += 1
        issued, currency = over.date(), "EUR"
        due = issued + timedelta(days=14)
        line = {"what": "as offered", "much": "", "amount": price, "taxable": True}
        content = {"version": 1, "kind": "InvoiceLines", "value": {"lines": [line], "tax": "0.00"}}
        invoice = self.add(
            "invoice",
            {
                "number": self.invoices,
                "job_id": job,
                "customer_id": customer,
                "issued": issued.isoformat(),
                "due": due.isoformat(),
                "content": json.dumps(content, separators=(",", ":")),
                "total": price,
                "currency": currency,
                "discount": "0.00",
                "file_sha256": self.paper,
                "who": "ambra",
                "told": text(over),
            },
        )
        self.ledger(
            job, "invoiced", over, {"number": self.invoices, "total": price, "currency": currency, "sha256": self.paper}
        )
        paid = due + timedelta(days=self.luck.randint(-10, 25))
        if paid < END.date() and self.luck.random() < 0.985:
            self.add(
                "payment",
                {
                    "customer_id": customer,
                    "kind": "received",
                    "day": paid.isoformat(),
                    "amount": price,
                    "currency": currency,
                    "invoice_id": invoice,
                    "job_id": job,
                    "how": "bank",
                    "reference": f"R{self.invoices}",
                    "words": "",
                    "who": "ambra",
                    "told": text(datetime(paid.year, paid.month, paid.day, 9, tzinfo=UTC)),
                },
            )

    def clock(self, wanted: int) -> None:
        """Days of switching from job to job, a note now and then, everything stopped in the evening."""
        days = [self.begin.date() + timedelta(days=n) for n in range(365 * YEARS)]
        days = [day for day in days if day.weekday() < 5]
        a_day = max(wanted // (len(days) * len(PEOPLE)), 4)
        works, first = self.works, 0
        for day in days:
            noon = datetime(day.year, day.month, day.day, 12, tzinfo=UTC)
            while first < len(works) and works[first].over < noon - timedelta(days=40):
                first += 1
            here = [
                one for one in works[first : first + 500] if one.begun <= noon and one.over >= noon - timedelta(days=1)
            ]
            if here:
                for person in PEOPLE:
                    self.person_day(person, day, here, a_day)

    def person_day(self, person: str, day: date, here: list[Work], count: int) -> None:
        luck, at = self.luck, datetime(day.year, day.month, day.day, 6, 0, tzinfo=UTC)
        step_s = 10 * 3600 / (count + 1)
        job = luck.choice(here).id
        for k in range(count - 1):
            at += timedelta(seconds=step_s)
            if at >= END:
                return
            draw = luck.random()
            kind, words = (
                ("note", luck.choice(NOTES))
                if k and draw < 0.12
                else ("done", "")
                if k and draw < 0.2
                else ("start", "")
            )
            if kind == "start":
                job = luck.choice(here).id
            self.entry(person, kind, at, job, words)
        self.entry(person, "stop", at + timedelta(seconds=step_s), None, "")

    def entry(self, person: str, kind: str, at: datetime, job: int | None, words: str) -> None:
        step = None if job is None or kind == "note" else 1 + job % 3
        self.add(
            "clock",
            {
                "person": person,
                "job_id": job,
                "step": step,
                "kind": kind,
                "happened": text(at),
                "told": text(at),
                "who": person,
                "words": words,
            },
        )

    def pieces(self, count: int) -> None:
        """Bars that came and were cut up; a tenth is still here."""
        luck = self.luck
        for k in range(count):
            at = self.begin + (END - self.begin) * ((k + 1) / (count + 1))
            piece = self.add("piece", {"label": f"P{k + 1}", "made_at": text(at)})
            length = luck.choice((1000.0, 2000.0, 3000.0, 6000.0))
            bodies: list[tuple[str, Mapping[str, object]]] = [
                (
                    "came",
                    {
                        "shape": "round",
                        "size_mm": [float(luck.choice((20, 25, 30, 40, 50, 60, 80)))],
                        "length_mm": length,
                        "material": luck.choice(METALS),
                        "condition": "not known",
                        "place": f"rack {luck.randint(1, 9)}, shelf {luck.randint(1, 6)}",
                        "heat_number": str(80000 + luck.randint(0, 19999)),
                        "certificate": "",
                        "cost": "80.00",
                        "owner": "",
                        "damage": "",
                        "camber_mm": 0.0,
                        "bad_mm": 0.0,
                    },
                )
            ]
            cuts = range(luck.randint(0, 3))
            bodies += [("cut", {"length_mm": length * (0.8 - 0.2 * cut), "cost": "40.00"}) for cut in cuts]
            if luck.random() < 0.9 and k < count * 0.97:
                bodies.append(("gone", {"why": "used up", "length_mm": 0.0}))
            for turn, (kind, body) in enumerate(bodies, 1):
                then = text(min(at + timedelta(days=turn), END))
                self.add(
                    "movement",
                    {
                        "piece_id": piece,
                        "turn": turn,
                        "kind": kind,
                        "who": "jorun",
                        "happened": then,
                        "told": then,
                        "job_id": None,
                        "body": json.dumps(dict(body), sort_keys=True),
                    },
                )


def fill(folder: Path, *, jobs: int, plan: str) -> Store:
    """Fill a new data folder.

    Args:
        folder: is not there yet.
        jobs: how many; twice as many parts, twenty times as many entries of the clock.
        plan: from plan_text.
    Returns: the open store.
    """
    place = open_place(folder, None)
    place.store.files.keep(b"paper")
    with place.store.writing() as session:
        writer = Writer(session)
        Shop(writer, random.Random(SEED), jobs, plan).everything()
        writer.flush()
        folds.make_anew(session)
    return place.store


def counted(store: Store) -> Iterator[tuple[str, int]]:
    """How many rows each table has."""
    with store.reading() as session:
        for name in (
            "job",
            "part",
            "plan",
            "ledger",
            "clock",
            "piece",
            "movement",
            "invoice",
            "payment",
            "seal",
            "found",
        ):
            yield name, int(session.exec_driver_sql(f"SELECT count(*) FROM {name}").scalar() or 0)


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("folder", type=Path)
    asked.add_argument("--jobs", type=int, default=10_000)
    said = asked.parse_args()
    store = fill(said.folder, jobs=said.jobs, plan=plan_text(said.folder.with_name(said.folder.name + "-plan")))
    print(dict(counted(store)))
    store.close()


if __name__ == "__main__":
    main()
