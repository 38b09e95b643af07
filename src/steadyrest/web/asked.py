"""What a request asks: of which house, for which number, by which form."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from starlette.exceptions import HTTPException
from starlette.requests import Request

if TYPE_CHECKING:
    from steadyrest.web.app import House

LARGEST = 2**63


def house(request: Request) -> House:
    """What every handler needs."""
    return cast("House", request.app.state.house)


def number(request: Request, name: str) -> int:
    """A number in the address; 404 where it is larger than any that was ever given out."""
    found = int(request.path_params[name])
    if found >= LARGEST:
        raise HTTPException(404, "There is no such number.")
    return found


async def checked_form(request: Request) -> dict[str, str]:
    """A small form's words, once its token fits."""
    async with request.form(max_files=0, max_fields=20) as form:
        words = {name: str(value).strip() for name, value in form.items()}
    if not house(request).token.fits(words.get("guard")):
        raise HTTPException(403, "This form is too old. Open the page again.")
    return words
