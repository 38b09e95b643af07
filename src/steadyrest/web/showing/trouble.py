"""Trouble in words."""

from __future__ import annotations

from steadyrest.shop.floor import Shop
from steadyrest.web.pages.top import Top
from steadyrest.web.pages.trouble import TroublePage


def page(shop: Shop, what: str, do: str) -> TroublePage:
    """Something is not there, or did not work.

    Args:
        shop: for its name.
        what: is wrong.
        do: what to do about it.
    Returns: the page.
    """
    return TroublePage(Top("Not that way", shop.name), what, do)
