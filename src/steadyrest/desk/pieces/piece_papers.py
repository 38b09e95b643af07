"""A piece's papers: its certificate, photos of it, kept by their content and shown in its story."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from steadyrest.desk.floor import clock
from steadyrest.desk.pieces import rack
from steadyrest.desk.pieces.piece_moves import here
from steadyrest.shop.floor import Shop
from steadyrest.store import plans, touches
from steadyrest.store import rack as book
from steadyrest.store.opening import Store
from steadyrest.store.rack import Movement
from steadyrest.trouble import BadInput

VERB = "piece paper"
What = Literal["certificate", "photo"]
WHATS: tuple[What, ...] = ("certificate", "photo")
PDF = {b"%PDF-": "application/pdf"}
LARGEST = 30_000_000
LONGEST = 120


@dataclass(frozen=True, slots=True)
class PieceFile:
    """A file to be kept with a piece, as sent. what: certificate or photo. number: the certificate's. touch: the form's
    mark, so that it counts once."""

    label: str
    what: str
    data: bytes
    name: str
    who: str
    number: str = ""
    touch: str = ""


@dataclass(frozen=True, slots=True)
class PiecePaper:
    """One that is kept. sha256: of its bytes. picture: it can be shown as one."""

    what: str
    sha256: str
    name: str
    picture: bool


def keep_paper(store: Store, shop: Shop, paper: PieceFile, *, now: datetime) -> rack.Shelved:
    """Keep a certificate or a photo with a piece.

    Args:
        store: an open data folder. shop: with the pieces of its file.
        paper: as sent.
        now: aware moment.
    Returns: the piece after it.
    Raises: BadInput: no such piece, it is not there, or a file that is neither PDF nor picture.
    """
    clock.known_person(shop, paper.who)
    if paper.what not in WHATS:
        raise BadInput(where="paper", what=f"{paper.what[:40]!r} is no paper of a piece.", do=" or ".join(WHATS) + ".")
    kind = kind_of(paper.data, paper.what)
    sha256 = store.files.keep(paper.data)
    with store.writing() as session:
        before = touches.answered(session, paper.touch, verb=VERB)
        if before is not None:
            return rack.shelved(rack.there(session, before), shop, book=True)
        one = here(session, shop, paper.label, who=paper.who, seen=None, now=now)
        if one.state != "here":
            raise BadInput(where=f"piece {one.label}", what="was not found when counted.", do="Find it first.")
        name = (paper.name.strip() or paper.what)[:LONGEST]
        plans.note_file(session, sha256=sha256, size_bytes=len(paper.data), name=name, kind=kind, now=now)
        body: dict[str, object] = {"paper": paper.what, "file": sha256, "name": name, "kind": kind}
        if paper.what == "certificate" and paper.number.strip():
            body["certificate"] = paper.number.strip()[: rack.LONGEST]
        done = book.move(session, one.id, one.turn + 1, "paper", body, who=paper.who, happened=now, told=now)
        touches.keep(session, paper.touch, verb=VERB, answer=one.label, now=now)
        return rack.shelved(book.moved_on(one, done), shop, book=True)


def kind_of(data: bytes, what: str) -> str:
    """A file's type by its first bytes. Raises: BadInput: empty, too large, or of no type that is kept."""
    allowed = clock.PHOTOS if what == "photo" else clock.PHOTOS | PDF
    if len(data) > LARGEST:
        raise BadInput(where=what, what="it is too large.", do="Send a smaller one; 30 MB at most.")
    for begins, kind in allowed.items():
        if data.startswith(begins):
            return kind
    kinds = "a JPEG or PNG picture" if what == "photo" else "a PDF, or a JPEG or PNG picture of it"
    raise BadInput(where=what, what=f"this is not {kinds}.", do=f"Choose {kinds}.")


def papers(movements: tuple[Movement, ...]) -> tuple[PiecePaper, ...]:
    """The papers in a piece's story, the first first.

    Args:
        movements: of the piece.
    Returns: each once, as often as it was kept.
    """
    said = [one.body for one in movements if one.kind == "paper"]
    return tuple(
        PiecePaper(str(b["paper"]), str(b["file"]), str(b["name"]), str(b["kind"]).startswith("image/")) for b in said
    )


def paper(store: Store, label: str, sha256: str) -> tuple[bytes, str]:
    """One paper's bytes and type.

    Args:
        store: an open data folder. label: the piece. sha256: of the paper.
    Returns: bytes and type.
    Raises: BadInput: this piece has no such paper, or its file is gone.
    """
    with store.reading() as session:
        told = book.story(session, label)
    kinds = {str(one.body["file"]): str(one.body["kind"]) for one in told if one.kind == "paper"}
    if sha256 not in kinds:
        raise BadInput(where=f"piece {label[:40]}", what="it has no such paper.", do="Look at its story.")
    return store.files.read(sha256), kinds[sha256]
