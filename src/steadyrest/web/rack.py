"""The rack's addresses: the pages, and the forms by which a piece comes, is cut, moved, or goes."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from itertools import groupby
from typing import TYPE_CHECKING
from urllib.parse import quote, urlencode

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from steadyrest.desk.floor import clock
from steadyrest.desk.pieces import piece_in, piece_moves, piece_papers, rack
from steadyrest.desk.pieces.keep_or_scrap import judged
from steadyrest.desk.pieces.left_out import left_out
from steadyrest.desk.pieces.piece_in import New
from steadyrest.desk.pieces.piece_moves import Cut
from steadyrest.desk.pieces.piece_papers import PieceFile, keep_paper
from steadyrest.desk.pieces.rack import Shelved
from steadyrest.shop.floor import Shop
from steadyrest.stock.pieces import SIZES
from steadyrest.trouble import BadInput
from steadyrest.units import show_length, show_mass
from steadyrest.units.lengths import LengthUnit
from steadyrest.web import show
from steadyrest.web.at_screen import by
from steadyrest.web.keep import row as judged_row
from steadyrest.web.pages.rack import PaperRow, PiecePage, PlaceRows, RackPage, RackRow
from steadyrest.web.pages.top import Top
from steadyrest.wording import moments

if TYPE_CHECKING:
    from steadyrest.web.app import House

STATES = {"missing": "not found when last counted", "gone": "gone", "here": ""}


def routes(house: Callable[[Request], House]) -> list[Route]:
    """The addresses.

    Args:
        house: what every handler needs.
    Returns: routes for the app.
    """

    async def whole(request: Request) -> Response:
        """The rack, or a piece that came."""
        at, asked = house(request), request.query_params
        if request.method == "GET":
            return await run_in_threadpool(
                rack_page, at, asked.get("place", ""), asked.get("metal", ""), asked.get("yields", "")
            )
        words = await form(request, at)
        try:
            made = await run_in_threadpool(come, at, words)
        except BadInput as trouble:
            return await run_in_threadpool(rack_page, at, trouble=trouble.line(), status=422)
        return RedirectResponse(f"/rack/{quote(made.piece.label, safe='')}", status_code=303)

    async def piece(request: Request) -> Response:
        """A piece, or what happened to it."""
        at, label = house(request), request.path_params["label"]
        if request.method == "GET":
            return await run_in_threadpool(piece_page, at, label)
        words = await form(request, at)
        try:
            await run_in_threadpool(happened, at, label, words)
        except BadInput as trouble:
            return await run_in_threadpool(piece_page, at, label, trouble=trouble.line(), status=422)
        return RedirectResponse(f"/rack/{quote(label, safe='')}", status_code=303)

    async def keep(request: Request) -> Response:
        """A certificate or a photo to be kept with a piece."""
        at, label = house(request), request.path_params["label"]
        async with request.form(max_files=1, max_fields=10) as sent:
            if not at.token.fits(sent.get("guard")):
                raise HTTPException(403, "This form is too old. Open the page again.")
            words = {name: str(value).strip() for name, value in sent.items() if isinstance(value, str)}
            file = sent.get("file")
            data = await file.read() if isinstance(file, UploadFile) else b""
            name = (file.filename or "") if isinstance(file, UploadFile) else ""
        one = PieceFile(
            label, words.get("paper", ""), data, name, by(words.get("by", "")), number=words.get("number", ""),
            touch=words.get("touch", ""),
        )  # fmt: skip
        try:
            await run_in_threadpool(keep_paper, at.place.store, at.place.said.shop, one, now=at.clock())
        except BadInput as trouble:
            return await run_in_threadpool(piece_page, at, label, trouble=trouble.line(), status=422)
        return RedirectResponse(f"/rack/{quote(label, safe='')}", status_code=303)

    async def paper(request: Request) -> Response:
        """A paper of a piece."""
        at, label, sha256 = house(request), request.path_params["label"], request.path_params["sha"]
        try:
            data, kind = await run_in_threadpool(piece_papers.paper, at.place.store, label, sha256)
        except BadInput as trouble:
            raise HTTPException(404, trouble.line()) from None
        return Response(data, media_type=kind, headers={"Content-Disposition": "inline"})

    return [
        Route("/rack/{label}/paper", keep, methods=["POST"]),
        Route("/rack/{label}/paper/{sha}", paper),
        Route("/rack", whole, methods=["GET", "POST"]),
        Route("/rack/{label}", piece, methods=["GET", "POST"]),
    ]


async def form(request: Request, at: House) -> dict[str, str]:
    """A small form's words, once its token fits."""
    async with request.form(max_files=0, max_fields=20) as sent:
        words = {name: str(value).strip() for name, value in sent.items()}
    if not at.token.fits(words.get("guard")):
        raise HTTPException(403, "This form is too old. Open the page again.")
    return words


def come(at: House, words: Mapping[str, str]) -> Shelved:
    """A piece that came."""
    shop = at.place.said.shop
    sizes = tuple(part.strip() for part in words.get("size", "").lower().replace("×", "x").split("x"))
    new = New(
        words.get("shape", ""), sizes, words.get("length", ""), words.get("material", ""), words.get("place", ""),
        by(words.get("by", "")), heat_number=words.get("heat_number", ""), cost=words.get("cost", "") or "0",
        owner=words.get("owner", ""), damage=words.get("damage", ""), touch=words.get("touch", ""),
        condition=words.get("condition", "") or "not known", certificate=words.get("certificate", ""),
        bad=words.get("bad", ""),
    )  # fmt: skip
    return piece_in.come(at.place.store, shop, new, unit=shop.unit, now=at.clock())


def happened(at: House, label: str, words: Mapping[str, str]) -> None:
    """What a form says of a piece."""
    store, shop, now = at.place.store, at.place.said.shop, at.clock()
    seen, what, named, touch = (words.get(name, "") for name in ("seen", "what", "by", "touch"))
    who = by(named)
    if not (seen.isascii() and seen.isdecimal() and len(seen) < 10):
        raise BadInput(where="the form", what="it does not say what you saw.", do="Open the page again.")
    if what == "cut":
        length, job = words.get("length", ""), words.get("job", "")
        number = int(job) if job.isascii() and job.isdecimal() and len(job) < 10 else None
        asked = Cut(label, who, length=length, whole=not length, job=number, seen=int(seen), touch=touch)
        piece_moves.cut(store, shop, asked, unit=shop.unit, now=now)
    elif what == "move" and words.get("place"):
        body = {"place": words["place"][: rack.LONGEST]}
        piece_moves.change(store, shop, label, "moved", body, who=who, now=now, seen=int(seen), touch=touch)
    elif what == "gone":
        gone = {"why": words.get("why", "")[: rack.LONGEST], "length_mm": 0.0}
        piece_moves.change(store, shop, label, "gone", gone, who=who, now=now, seen=int(seen), touch=touch)
    else:
        raise BadInput(where="the form", what="it says nothing.", do="Open the page again.")


def rack_page(
    at: House, place: str = "", metal: str = "", yields: str = "", *, trouble: str = "", status: int = 200
) -> Response:
    """The rack."""
    shop = at.place.said.shop
    found, without = rack.pieces(at.place.store, shop), ()
    unit: LengthUnit = "in" if shop.unit == "in" else "mm"
    try:
        without = left_out(found, place=place, metal=metal, yields=yields, unit=unit, shop=shop)
        found = rack.find(found, place=place, metal=metal, yields=yields, unit=shop.unit, shop=shop)
    except BadInput as wrong:
        trouble, status = wrong.line(), 422
    fields = RackPage(
        top=Top("The rack", shop.name),
        guard=at.token.value,
        places=tuple(
            PlaceRows(name, tuple(row(one, shop) for one in those))
            for name, those in groupby(found, key=lambda one: one.piece.place)
        ),
        place=place,
        metal=metal,
        yields=yields,
        metals=tuple(one.id for one in shop.materials),
        shapes=tuple((shape, ", ".join(names)) for shape, names in SIZES.items()),
        conditions=piece_in.ALL_CONDITIONS,
        people=tuple((person.id, person.name) for person in shop.people),
        touch=secrets.token_urlsafe(12),
        left_out=tuple((one.piece.label, row(one, shop).says, why) for one, why in without),
        trouble=trouble,
    )
    return show.page("rack.html", fields, status=status)


def row(one: Shelved, shop: Shop) -> RackRow:
    """A piece in few words."""
    piece, unit = one.piece, "in" if shop.unit == "in" else "mm"
    size = " x ".join(show_length(x, unit) for x in piece.size_mm)
    notes = [f"belongs to {piece.owner}" if piece.owner else "", piece.damage, STATES[piece.state]]
    return RackRow(
        label=piece.label,
        says=f"{piece.shape} {size}",
        length=show_length(piece.length_mm, unit),
        metal=piece.material,
        heat=piece.heat_number or "not known",
        mass=show_mass(one.mass_kg) if one.mass_kg is not None else "",
        note=", ".join(note for note in notes if note),
        heavy=one.heavy,
    )


def hung(one: Shelved) -> str:
    """The words that hang a piece on two legs, a fifth of its length from each end, the hook as high as they are
    apart."""
    piece = one.piece
    if one.mass_kg is None or piece.outline_mm or piece.length_mm <= 0:
        return ""
    long = piece.length_mm
    points = f"{0.2 * long:.0f} 0; {0.8 * long:.0f} 0"
    words = {"how": "hook", "mass": f"{one.mass_kg:.4g}", "points": points, "centre": f"{0.5 * long:.0f} 0"}
    return urlencode(words | {"hook": f"{max(0.6 * long, 1.0):.0f} mm"})


def kept_or_not(at: House, one: Shelved) -> tuple[str, ...]:
    """Whether a piece is worth keeping, in words; nothing for a customer's own, or one that is gone."""
    shop = at.place.said.shop
    found = judged(at.place.store, shop, (one,), now=at.clock()).get(one.piece.label)
    said = judged_row(found, shop) if found is not None else None
    return tuple(words for words in (said.says, said.worth, said.why) if words) if said is not None else ()


def piece_page(at: House, label: str, *, trouble: str = "", status: int = 200) -> Response:
    """One piece."""
    store, shop = at.place.store, at.place.said.shop
    story = rack.story(store, shop, label)
    piece, zone = story.shelved.piece, shop.timezone
    touch = secrets.token_urlsafe(12)
    fields = PiecePage(
        top=Top(f"Piece {label}", shop.name),
        guard=at.token.value,
        row=row(story.shelved, shop),
        place=piece.place,
        story=tuple(
            f"{moments.moment(one.happened, zone)}: {rack.told_words(one, job, shop)}" for one, job in story.movements
        ),
        seen=piece.turn if story.shelved.book else 0,
        gone=piece.state == "gone",
        jobs=tuple((one.number, one.what) for one in clock.offered(store, "", now=at.clock())),
        people=tuple((person.id, person.name) for person in shop.people),
        touches=(f"{touch}-1", f"{touch}-2", f"{touch}-3", f"{touch}-4"),
        papers=tuple(
            PaperRow(f"/rack/{quote(label, safe='')}/paper/{one.sha256}", one.what, one.name, one.picture)
            for one in piece_papers.papers(tuple(each for each, _ in story.movements))
        ),
        lift=hung(story.shelved),
        keep=kept_or_not(at, story.shelved),
        trouble=trouble,
    )
    return show.page("piece.html", fields, status=status)
