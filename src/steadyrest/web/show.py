"""Pages onto the screen: a template and one page dataclass, nothing else."""

from __future__ import annotations

from dataclasses import asdict
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, cast

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from jinja2.utils import htmlsafe_json_dumps
from markupsafe import Markup
from starlette.responses import HTMLResponse

from steadyrest.web.at_screen import screen

if TYPE_CHECKING:
    from _typeshed import DataclassInstance


@cache
def sheets() -> Environment:
    """The templates; what a page does not have is an error, and text is escaped."""
    found = Environment(
        loader=FileSystemLoader(Path(__file__).parent / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.filters["sentence"], found.filters["whole"] = sentence, whole
    found.filters["data"] = data
    cast("dict[str, object]", found.globals)["screen"] = screen  # who is at it, and what every page has to tell them
    return found


def sentence(text: str) -> str:
    """Words as they begin a line: the first letter large, the rest as it is."""
    return text[:1].upper() + text[1:]


def whole(text: str) -> str:
    """Words as a whole sentence: begun large, and ended unless they end themselves."""
    return sentence(text) if text.rstrip()[-1:] in ".?!:" else sentence(text) + "."


def data(value: DataclassInstance) -> Markup:
    """A dataclass as JSON that may stand in a script tag: nothing in it ends the tag."""
    return htmlsafe_json_dumps(asdict(value), separators=(",", ":"))


def page(template: str, fields: object, *, status: int = 200) -> HTMLResponse:
    """A page.

    Args:
        template: its file in templates/.
        fields: its page dataclass.
        status: HTTP status.
    Returns: the answer.
    """
    return HTMLResponse(sheets().get_template(template).render(page=fields), status_code=status)
