"""The shop file's text as one table of fields: TOML or one line that says where it is not."""

from __future__ import annotations

import re
import tomllib

from steadyrest.shop.shop_fields import Fields
from steadyrest.trouble import BadInput

TOO_LONG = 2_000_000


def parsed(text: str, where: str) -> Fields:
    """The whole file as fields.

    Args:
        text: TOML.
        where: the file's name, for messages.
    Returns: its tables.
    Raises: BadInput: empty, too long, or not TOML.
    """
    if not text.strip():
        raise BadInput(where=where, what="the shop file is empty.", do="Start from the demo's shop.toml.")
    if len(text) > TOO_LONG:
        raise BadInput(where=where, what=f"{len(text)} characters is too long.", do="Give a shop file of at most 2 MB.")
    try:
        table: dict[str, object] = tomllib.loads(text)
    except tomllib.TOMLDecodeError as wrong:
        what, _, place = str(wrong).partition(" (at ")
        line = re.search(r"line (\d+)", place)
        at = f"{where}, line {line[1]}" if line else where
        raise BadInput(where=at, what=f"this is not TOML: {what}.", do="Mend the line.") from None
    except (RecursionError, ValueError) as wrong:
        raise BadInput(where=where, what=f"this is not TOML: {wrong}.", do="Mend the file.") from None
    return Fields(table, "", where, tuple(text.splitlines()))
