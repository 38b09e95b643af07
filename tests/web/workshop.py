"""A shop's data folder for tests of the app, with a job that goes and one that this floor cannot make."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from steadyrest.demo import programs
from steadyrest.desk.night import leaving_page
from steadyrest.desk.night.leave import ShopText
from steadyrest.desk.place import Place, open_place
from steadyrest.desk.plan import keeping, plan_part
from steadyrest.shop.figure import because
from steadyrest.shop.part import Doubt, NextReading, Part, Size
from tests.stations import parts

NOW = datetime(2026, 11, 27, 12, 10, tzinfo=ZoneInfo("Europe/Vienna"))
DUE = NOW + timedelta(hours=32)
HOSTS = ("127.0.0.1", "localhost", "testserver")


def shaft() -> Part:
    """A turned shaft of three diameters that the example shop makes."""
    part = worded(parts.turned([(25, 30, None), (30, 60, (29.98, 30.0)), (20, 40, None)], name="shaft.step"))
    wear = replace(part.features[1], wear_mm=0.3, wear_along_mm=(40.0, 70.0))
    return replace(
        part,
        kind="scan",
        features=(part.features[0], wear, *part.features[2:]),
        volume_mm3=70_000.0,
        doubts=(Doubt(because("mesh.open", count=3), because("read.ask_open")),),
        next_reading=NextReading("S2", "micrometer 25-50", (because("read.ask_open"),)),
    )


def too_large() -> Part:
    """A shaft that no machine of the example shop takes."""
    return worded(parts.turned([(900, 4000, None)], name="column.step"))


def worded(part: Part) -> Part:
    """The part with reasons that can be said: a page says all of them."""

    def size(one: Size) -> Size:
        if one.nominal is None or one.nominal.limits is None:
            return one
        limits = replace(one.nominal.limits, why=(because("limits.hub_bore", nominal=one.nominal.shown, zone="h7"),))
        return replace(one, nominal=replace(one.nominal, limits=limits))

    features = tuple(replace(feature, sizes=tuple(map(size, feature.sizes))) for feature in part.features)
    return replace(part, features=features, unit=replace(part.unit, why=because("read.unit_given", unit="mm")))


def planned(place: Place, part: Part, what: str, *, due: datetime = DUE, customer: str = "the ferry <office>") -> int:
    """Keep a job with its plan; its number."""
    answer = plan_part.plan(
        part, said=place.said, metal=plan_part.metal_of("C45", place.said.shop), quantity=60, due=due, now=NOW, seed=1,
        what=what, progress=lambda _what, _share: None, stop=lambda: False,
    )  # fmt: skip
    answer = replace(answer, what=what, customer=customer)
    return keeping.keep_in(place.store, answer, name=part.name, data=part.name.encode(), now=NOW)


def checked(place: Place) -> int:
    """Check a program that may be left if a tool is changed; the check's number."""
    handed = leaving_page.HandedProgram("spacers.nc", "lathe")
    data = ("\r\n".join(programs.spacers()) + "\r\n").encode()
    said = place.said
    return leaving_page.check(
        place.store, leaving_page.Shelf(), handed, data, shop=said.shop,
        text=ShopText(said.text, said.where, example=said.example), now=NOW, stop=lambda: False,
    )  # fmt: skip


def opened(folder: Path) -> tuple[Place, int, int]:
    """An open data folder, the number of a job that goes, and of one that does not."""
    place = open_place(folder, None)
    no = planned(place, too_large(), "column", due=DUE + timedelta(days=9))
    return place, planned(place, shaft(), 'winch shaft "two" & more'), no
