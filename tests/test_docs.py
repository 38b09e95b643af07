"""The docs say what is so: made pages are up to date, the shop file's page names every key the reader knows."""

from __future__ import annotations

import re
import runpy
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from steadyrest.cli import verbs
from steadyrest.desk.which_shop import example_text
from steadyrest.price.statement import billing
from steadyrest.shop import (
    finish,
    leaving_file,
    shop_carriage,
    shop_cutters,
    shop_file,
    shop_machines,
    shop_people,
    shop_shared,
    shop_stores,
    shop_vendors,
)
from steadyrest.shop.shop_fields import DAYS
from steadyrest.shop.shop_file import read_shop
from steadyrest.tables.plate_cutting import WAYS
from steadyrest.trouble import BadInput

HOME = Path(__file__).resolve().parent.parent
DOCS = HOME / "docs"
MADE = runpy.run_path(str(DOCS / "make.py"))["PAGES"]
LINK = re.compile(r"\]\(([^)#\s]+)(?:#[^)]*)?\)")
SHOP_PAGE = (DOCS / "shop-file.md").read_text(encoding="utf-8")

# What the reader knows, by the page's heading, and where the demo's shop file has such a table.
KNOWN: dict[str, tuple[tuple[str, ...], str]] = {
    "`[shop]`": (shop_file.SHOP_KEYS, r"\[shop\]"),
    "`[habits]`": (shop_file.HABIT_KEYS, r"\[habits\]"),
    "`[terms]`": (shop_file.TERM_KEYS, r"\[terms\]"),
    "`[person.NAME]`": (shop_people.PERSON_KEYS, r"\[person\.\w+\]"),
    "`[person.NAME.hours]`": (DAYS, r"\[person\.\w+\.hours\]"),
    "`[machine.NAME]`": (shop_machines.COMMON, r"\[machine\.lathe\]"),
    "A lathe and a mill": (shop_machines.SPINDLE, r"\[machine\.lathe\]"),
    "`[machine.NAME.hour]`": (shop_machines.HOUR_KEYS, r"\[machine\.\w+\.hour\]"),
    "`[[machine.NAME.tool]]`": (shop_machines.TOOL_KEYS, r"\[\[machine\.\w+\.tool\]\]"),
    "`[[machine.NAME.cut]]`": (shop_cutters.CUT_KEYS, r"\[\[machine\.\w+\.cut\]\]"),
    '`[program."FILE.nc"]`': (leaving_file.PROGRAM_KEYS, r"\[program\."),
    "`[material.NAME]`": (("price_per_kg",), r"\[material\.\w+\]"),
    "`[[piece]]`": (shop_stores.PIECE_KEYS, r"\[\[piece\]\]"),
    "`[supplier.NAME]`": (shop_stores.SUPPLIER_KEYS, r"\[supplier\.\w+\]"),
    "`[vendor.NAME]`": (shop_vendors.VENDOR_KEYS, r"\[vendor\.\w+\]"),
    "`[gauge.NAME]`": (shop_stores.GAUGE_KEYS, r"\[gauge\.\w+\]"),
    "`[shared.NAME]`": (shop_shared.KEYS, r"\[shared\.\w+\]"),
    "`[carriage]`": (shop_carriage.KEYS, r"\[carriage\]"),
    "`[[job]]`": (shop_people.JOB_KEYS, r"\[\[job\]\]"),
    "`[[job.phase]]`": (shop_people.PHASE_KEYS, r"\[\[job\.phase\]\]"),
} | {
    f"A {kind}": (tuple(key for key in keys if key not in shop_machines.SPINDLE or kind not in ("lathe", "mill")),
                  rf"\[machine\.{kind}\]")
    for kind, keys in shop_machines.KEYS.items()
}  # fmt: skip
CHOICES = {
    ("`[shop]`", "unit"): ("mm", "in"),
    ("`[person.NAME]`", "skills"): shop_people.WAYS,
    ("`[machine.NAME]`", "kind"): tuple(shop_machines.KEYS),
    ("`[[machine.NAME.tool]]`", "kind"): shop_machines.TOOL_KINDS,
    ("`[[machine.NAME.tool]]`", "role"): shop_machines.ROLES,
    ("`[[machine.NAME.cut]]`", "metal"): shop_cutters.METALS,
    ("A cutter", "way"): WAYS,
    ("`[[machine.NAME.tool]]`", "made_of"): ("carbide", "hss"),
    ('`[program."FILE.nc"]`', "coolant"): leaving_file.COOLANTS,
    ('`[program."FILE.nc"]`', "holding"): leaving_file.HOLDINGS,
    ("`[[piece]]`", "shape"): tuple(shop_stores.SIZES),
    ("`[[piece]]`", "condition"): shop_stores.CONDITIONS,
    ("`[gauge.NAME]`", "measures"): shop_stores.MEASURES,
    ("`[vendor.NAME]`", "does"): finish.WAYS,
}
UNITS = {
    "m_min": "m/min", "mm_min": "mm/min", "mm_s2": "mm/s²", "per_hour": "money", "per_kg": "money", "on_kg": "share",
    "mm": "mm", "um": "µm", "s_per_m": "s", "s": "s", "kg": "kg", "nm": "Nm", "n": "N", "rpm": "rpm", "deg": "deg",
    "days": "days",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Told:
    """One row of the page. heading: of the table it stands in."""

    heading: str
    key: str
    unit: str
    allowed: str
    left_out: str

    @property
    def range(self) -> tuple[float, float, bool] | None:
        """Smallest, largest, and whether the smallest itself is too little; None where no range is given."""
        found = re.fullmatch(r"(above )?([\d.]+)(?: or more| to ([\d.]+))?", self.allowed)
        if not found or not (found[1] or found[3] or self.allowed.endswith("or more")):
            return None
        return float(found[2]), float(found[3] or "inf"), bool(found[1])

    @property
    def default(self) -> str | None:
        """What is read when the key is left out, as it would be written; None where the page gives no such value."""
        found = re.fullmatch(r"`(.*)`", self.left_out)
        return found[1] if found else None


def told() -> Iterator[Told]:
    heading = ""
    for line in SHOP_PAGE.splitlines():
        if line.startswith("#"):
            heading = line.lstrip("# ")
        elif line.startswith("| `"):
            key, unit, allowed, left_out, _what = (cell.strip() for cell in line.strip("|").split("|"))
            yield Told(heading, key.strip("`"), unit, allowed, left_out)


TOLD = tuple(told())
NAMES = [f"{one.heading.strip('`')} {one.key}" for one in TOLD]


def blocks(text: str) -> list[list[str]]:
    """The text's tables, each from its heading to the next; what stands before the first is left out."""
    found: list[list[str]] = []
    for line in text.splitlines():
        if line.startswith("["):
            found.append([])
        if found:
            found[-1].append(line)
    return found


def short_demo() -> list[list[str]]:
    """The demo's shop file with one of each list only: it is read some hundred times here."""
    seen: set[str] = set()
    kept: list[list[str]] = []
    for block in blocks(example_text()):
        if not (block[0].startswith("[[") and block[0] in seen):
            kept.append(block)
        seen.add(block[0])
    return kept


DEMO = short_demo()


def demo_with(one: Told, value: str | None) -> str:
    """The short demo with this key written so in the first table of its kind; None leaves it out."""
    if value is None and one.key in ("hours", "phase"):  # tables of their own
        return "\n".join(line for block in DEMO if f".{one.key}]" not in block[0] for line in block)
    at = next(n for n, block in enumerate(DEMO) if re.match(KNOWN[one.heading][1], block[0]))
    head, *lines = DEMO[at]
    kept = [line for line in lines if not re.match(rf"{one.key}\s*=", line)]
    added = [f"{one.key} = {value}"] if value is not None else []
    return "\n".join(line for block in (*DEMO[:at], [head, *added, *kept], *DEMO[at + 1 :]) for line in block)


@pytest.mark.parametrize("name", MADE)
def test_a_made_page_is_what_would_be_made_now(name: str) -> None:
    assert (DOCS / name).read_text(encoding="utf-8") == MADE[name](), "out of date: python run.py docs"


@pytest.mark.parametrize("verb", verbs.VERBS, ids=lambda verb: verb.name)
def test_every_verb_stands_in_the_docs_with_its_example(verb: verbs.Verb) -> None:
    text = (DOCS / "verbs.md").read_text(encoding="utf-8")
    assert f"## {verb.name}\n" in text
    assert f"    {verb.example}\n" in text


def test_every_link_in_the_docs_leads_somewhere() -> None:
    pages = (*DOCS.rglob("*.md"), *HOME.glob("*.md"))
    links = [(page, link) for page in pages for link in LINK.findall(page.read_text(encoding="utf-8"))]
    dead = [(page.name, link) for page, link in links if "://" not in link and not (page.parent / link).exists()]
    assert links
    assert not dead


def test_the_page_has_a_table_for_everything_the_reader_reads() -> None:
    assert {one.heading for one in TOLD} == set(KNOWN)
    top = {re.sub(r"[`\[\]]", "", heading).split(".")[0] for heading in KNOWN if heading.startswith("`")}
    # What stands in [billing] is read by another room, and told on another page.
    assert top == set(shop_file.TOP) - {"billing"}
    record = (DOCS / "record.md").read_text(encoding="utf-8")
    assert all(re.search(rf"\b{key}\b", record) for key in (*billing.KEYS, *billing.CUSTOMER_KEYS))


@pytest.mark.parametrize("heading", KNOWN)
def test_the_page_names_every_key_the_reader_knows_and_no_other(heading: str) -> None:
    names = [one.key for one in TOLD if one.heading == heading]
    assert sorted(names) == sorted(KNOWN[heading][0])


@pytest.mark.parametrize("where", CHOICES, ids=lambda where: f"{where[0].strip('`')} {where[1]}")
def test_the_page_names_every_choice_and_no_other(where: tuple[str, str]) -> None:
    (one,) = (one for one in TOLD if (one.heading, one.key) == where)
    assert set(re.findall(r'"([^"]+)"', one.allowed)) == set(CHOICES[where])


@pytest.mark.parametrize("one", TOLD, ids=NAMES)
def test_a_key_s_ending_is_its_unit(one: Told) -> None:
    ending = next((end for end in sorted(UNITS, key=len, reverse=True) if one.key.endswith("_" + end)), None)
    assert ending is None or UNITS[ending] == one.unit


@pytest.mark.parametrize("one", [one for one in TOLD if one.left_out == "needed"], ids=lambda one: one.key)
def test_what_the_page_calls_needed_is_refused_when_it_is_missing(one: Told) -> None:
    with pytest.raises(BadInput, match=one.key):
        read_shop(demo_with(one, None), "shop.toml")


# A machine without [[tool]] stands in the demo; the list cannot be written beside the tables of its own.
@pytest.mark.parametrize("one", [one for one in TOLD if one.default and one.key != "tool"], ids=lambda one: one.key)
def test_a_key_left_out_is_read_as_the_page_says(one: Told) -> None:
    assert read_shop(demo_with(one, None), "shop.toml") == read_shop(demo_with(one, one.default), "shop.toml")


@pytest.mark.parametrize("one", [one for one in TOLD if one.range and one.key != "size_mm"], ids=lambda one: one.key)
def test_what_lies_outside_the_page_s_range_is_refused(one: Told) -> None:
    assert one.range
    low, high, above = one.range
    whole = one.key in ("number", "teeth", "validity_days", "lead_days")
    wrong = [low if above else low - (1 if whole else 0.001)]
    wrong += [high + 1 if whole else high * 1.001] if high < 1e9 else []
    for value in wrong:
        written = f'"{value}"' if one.unit == "money" else f"{value:.10g}"
        with pytest.raises(BadInput, match="is out of range"):
            read_shop(demo_with(one, written), "shop.toml")


def test_the_smallest_shop_file_of_the_page_is_read() -> None:
    (smallest,) = re.findall(r"```toml\n(.*?)```", SHOP_PAGE, re.DOTALL)
    shop = read_shop(smallest, "smallest.toml")
    assert [machine.kind for machine in shop.machines] == ["bench"]
