"""The addresses of stocktake and labels: a place counted beside the book, labels on a sheet that is chosen."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from steadyrest.desk.pieces import piece_labels, rack
from steadyrest.desk.pieces.stocktake import Counted, count
from steadyrest.shop.floor import Shop
from steadyrest.tables.label_sheets import label_sheets
from steadyrest.trouble import BadInput
from steadyrest.units import show_length
from steadyrest.web import show
from steadyrest.web.at_screen import by
from steadyrest.web.pages.count import CountPage, CountRow, LabelsPage
from steadyrest.web.pages.top import Top
from steadyrest.web.rack import row as rack_row

if TYPE_CHECKING:
    from steadyrest.web.app import House

MOST_FIELDS, LONGEST = 2000, 4000
NAMES = ("sheet", "skip", "place", "labels")


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def counted(request: Request) -> Response:
        """The place to count, or what was counted."""
        at = house(request)
        if request.method == "GET":
            place = request.query_params.get("place", "")[:LONGEST]
            return await run_in_threadpool(page, at, place, {}, ())
        async with request.form(max_files=0, max_fields=MOST_FIELDS) as sent:
            if not at.token.fits(sent.get("guard")):
                raise HTTPException(403, "This form is too old. Open the page again.")
            words = {name: str(value).strip()[:LONGEST] for name, value in sent.items()}
            ticked = tuple(str(one) for one in sent.getlist("seen"))
        return await run_in_threadpool(compared, at, words, ticked)

    async def labels(request: Request) -> Response:
        """The form, or the labels as PDF."""
        at = house(request)
        typed = {name: request.query_params.get(name, "").strip()[:LONGEST] for name in NAMES}
        if not request.query_params.get("print"):
            return await run_in_threadpool(labels_page, at, typed)
        try:
            data = await run_in_threadpool(printed, at, typed, str(request.base_url).rstrip("/"))
        except BadInput as trouble:
            return await run_in_threadpool(labels_page, at, typed, trouble=trouble.line(), status=422)
        return Response(data, media_type="application/pdf", headers={"Content-Disposition": "inline"})

    return [Route("/count", counted, methods=["GET", "POST"]), Route("/labels", labels)]


def compared(at: House, words: dict[str, str], ticked: tuple[str, ...]) -> Response:
    """What was counted beside the book; the book set right by it, where that is said."""
    shop, place, write = at.place.said.shop, words.get("place", ""), words.get("what") == "write"
    lengths = {label: words.get(f"length {label}", "") for label in ticked}
    seen = [f"{label}={long}" if long else label for label, long in lengths.items()]
    seen += [line.strip() for line in words.get("others", "").replace(",", "\n").splitlines() if line.strip()]
    try:
        if not place:
            raise BadInput(where="place", what="none was named.", do="Choose one.")
        found = count(
            at.place.store, shop, place, seen, who=by(words.get("by", "")), write=write, unit=shop.unit, now=at.clock()
        )
    except BadInput as trouble:
        return page(at, place, words, ticked, trouble=trouble.line(), status=422)
    return page(at, place, words, ticked, found=found)


def page(
    at: House, place: str, words: dict[str, str], ticked: tuple[str, ...], *, found: Counted | None = None,
    trouble: str = "", status: int = 200,
) -> Response:  # fmt: skip
    """The page of a count."""
    shop = at.place.said.shop
    there = rack.pieces(at.place.store, shop)
    mine = [one for one in there if one.piece.place == place and one.piece.state != "gone"]
    fields = CountPage(
        top=Top(f"Count {place}" if place else "Stocktake", shop.name),
        guard=at.token.value,
        place=place,
        places=tuple(sorted({one.piece.place for one in there})),
        rows=tuple(
            CountRow(
                one.piece.label, f"{(shown := rack_row(one, shop)).says}, {shown.length}, {shown.metal}",
                one.piece.label in ticked, words.get(f"length {one.piece.label}", ""),
            )
            for one in mine
        ),
        others=words.get("others", ""),
        found=said(found, shop) if found is not None else (),
        counted=found is not None,
        written=found is not None and found.written,
        people=tuple((person.id, person.name) for person in shop.people),
        unit=shop.unit,
        trouble=trouble,
    )  # fmt: skip
    return show.page("count.html", fields, status=status)


def said(found: Counted, shop: Shop) -> tuple[str, ...]:
    """A count beside the book in words."""
    unit = "in" if shop.unit == "in" else "mm"
    lines = [f"{len(found.right)} as the book has them" + (f": {', '.join(found.right)}" if found.right else "")]
    lines += [f"{label} was not seen" for label in found.missing]
    lines += [f"{label} lies here; the book has it at {where}" for label, where in found.elsewhere]
    lines += [
        f"{label} is {show_length(counted, unit)} long; the book has {show_length(book, unit)}"
        for label, book, counted in found.shorter
    ]
    lines += [f"{label} is in no book: write it down as a piece that came" for label in found.unknown]
    return tuple(lines)


def printed(at: House, typed: dict[str, str], link: str) -> bytes:
    """The labels as PDF."""
    shop, skip = at.place.said.shop, typed["skip"] or "0"
    if not (skip.isascii() and skip.isdecimal() and len(skip) < 6):
        raise BadInput(where="used up", what=f"{skip[:20]!r} is no number.", do="Count the labels that are gone.")
    wanted = [label.strip() for label in typed["labels"].split(",") if label.strip()]
    if not wanted and typed["place"]:
        wanted = [
            one.piece.label for one in rack.pieces(at.place.store, shop) if one.piece.place == typed["place"]
        ]  # fmt: skip
        if not wanted:
            raise BadInput(where="place", what="nothing lies there.", do="Choose another.")
    sheet = typed["sheet"] or label_sheets()[0].name
    return piece_labels.labels(
        at.place.store, shop, wanted, sheet=sheet, skip=int(skip), link=link, now=at.clock()
    ).pdf  # fmt: skip


def labels_page(at: House, typed: dict[str, str], *, trouble: str = "", status: int = 200) -> Response:
    """The form for labels."""
    shop = at.place.said.shop
    fields = LabelsPage(
        top=Top("Labels", shop.name),
        sheets=tuple(
            (one.name, f"{one.wide_mm:g} × {one.high_mm:g} mm, {one.columns * one.rows} on a sheet ({one.paper})")
            for one in label_sheets()
        ),
        places=tuple(sorted({one.piece.place for one in rack.pieces(at.place.store, shop)})),
        typed=typed,
        trouble=trouble,
    )
    return show.page("labels.html", fields, status=status)
