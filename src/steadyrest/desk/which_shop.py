"""Which shop is meant: the file that was named, the data folder's own, or the invented example."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import resources
from pathlib import Path

from steadyrest.price.winning import Quoted
from steadyrest.shop.floor import Shop
from steadyrest.shop.shop_file import read_shop
from steadyrest.trouble import BadInput

OWN = "shop.toml"


@dataclass(frozen=True, slots=True)
class ShopSaid:
    """A shop and where it came from. example: nobody named a shop, so the invented one stands in. where: its file.

    quotes: what its data folder knows of prices taken and lost.
    """

    shop: Shop
    text: str
    example: bool
    where: str = "the example shop"
    quotes: tuple[Quoted, ...] = ()


def which_shop(shop_file: Path | None, data: Path | None) -> ShopSaid:
    """The shop that is meant.

    Args:
        shop_file: the file that was named, or None.
        data: the data folder, or None; its own shop.toml counts when no file was named.
    Returns: the shop, its text, and whether it is the example.
    Raises: BadInput: the file is not there, not text, or wrong somewhere.
    """
    if shop_file is not None:
        return ShopSaid(
            read_shop(text_of(shop_file), str(shop_file)), text_of(shop_file), example=False, where=str(shop_file)
        )
    if data is not None and (data / OWN).exists():
        return ShopSaid(
            read_shop(text_of(data / OWN), str(data / OWN)), text_of(data / OWN), example=False, where=str(data / OWN)
        )
    text = example_text()
    return ShopSaid(read_shop(text, "the example shop"), text, example=True)


def example_text() -> str:
    """The invented example shop's file."""
    return (resources.files("steadyrest.demo") / OWN).read_text(encoding="utf-8")


def text_of(file: Path) -> str:
    """A text file's text.

    Args:
        file: UTF-8.
    Returns: its text.
    Raises: BadInput: it cannot be read, or is not text.
    """
    try:
        return file.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        raise BadInput(where=str(file), what="this is not a text file in UTF-8.", do="Save it as plain text.") from None
    except OSError as trouble:
        raise BadInput(where=str(file), what=f"it cannot be read ({trouble.strerror}).", do="Check the name.") from None
