"""The shop file in and out: checked before it counts, each version kept with who, when and why."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from steadyrest.desk.place import Place
from steadyrest.desk.which_shop import OWN, text_of
from steadyrest.price.statement.billing import read_billing
from steadyrest.shop.floor import Shop
from steadyrest.shop.shop_file import read_shop
from steadyrest.store import shop_versions
from steadyrest.store.files import write_whole
from steadyrest.store.opening import Store
from steadyrest.store.shop_versions import BY_HAND, ShopVersion
from steadyrest.trouble import BadInput

LONGEST = 500


@dataclass(frozen=True, slots=True)
class Imported:
    """version: in force now. before: number of the one before it, or 0. changed: whether the text is another."""

    version: ShopVersion
    before: int
    changed: bool


def check(file: Path) -> Shop:
    """The shop of a file, checked whole.

    Args:
        file: TOML.
    Returns: the shop.
    Raises: BadInput: the first thing wrong in it, with its line.
    """
    text = text_of(file)
    read_billing(text, str(file))
    return read_shop(text, str(file))


def import_file(place: Place, file: Path, *, who: str, why: str, now: datetime) -> Imported:
    """Put a shop file in the place of the data folder's own.

    Args:
        place: an open data folder.
        file: TOML.
        who: changes it: somebody of the shop as it was, or as it will be.
        why: in few words, or "".
        now: aware moment.
    Returns: the version that is in force now.
    Raises: BadInput: the file is wrong somewhere, or nobody of that name works here; nothing is changed then.
    """
    shop = check(file)
    text = text_of(file)
    if who not in {person.id for person in (*shop.people, *place.said.shop.people)}:
        raise BadInput(where="--by", what=f"{who[:40]!r} does not work here.", do="Name somebody of the shop file.")
    store = place.store
    noted_by_hand(store)
    with store.writing() as session:
        before = shop_versions.latest(session)
        version = shop_versions.note(session, text, who=who, why=why.strip()[:LONGEST], told=now)
        # Within the transaction: a file that cannot be written leaves no version behind.
        try:
            write_whole(store.folder / OWN, text.encode())
        except OSError as fault:
            what = f"cannot be written ({fault.strerror})."
            raise BadInput(where=str(store.folder / OWN), what=what, do="Look at the disk.") from None
    number = before.number if before else 0
    return Imported(version, number, version.number != number)


def noted_by_hand(store: Store) -> ShopVersion | None:
    """Note the data folder's own shop file as it stands, if somebody changed it with an editor.

    Args:
        store: an open data folder.
    Returns: the version in force; None if the folder has no shop file.
    """
    own = store.folder / OWN
    if not own.is_file():
        return None
    told = datetime.fromtimestamp(own.stat().st_mtime, UTC)
    with store.writing() as session:
        return shop_versions.note(session, text_of(own), who=BY_HAND, why="", told=told)


def history(store: Store) -> tuple[ShopVersion, ...]:
    """Every version of the shop file, the first first; a change by hand since the last is noted."""
    noted_by_hand(store)
    with store.reading() as session:
        return shop_versions.versions(session)


def export(place: Place, *, version: int | None) -> str:
    """The shop file's text.

    Args:
        place: an open data folder.
        version: which one; None: the one in force.
    Returns: the text.
    Raises: BadInput: there is no such version.
    """
    if version is None:
        return place.said.text
    found = next((one for one in history(place.store) if one.number == version), None)
    if found is None:
        raise BadInput(
            where=f"version {version}", what="there is no such version.", do="See `steadyrest shop versions`."
        )
    return found.text
