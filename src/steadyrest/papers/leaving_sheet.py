"""The leaving sheet: may it run alone, what to do before the light goes out, what was found, and how it may be found
in the morning. It hangs at the machine."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import datetime

from steadyrest.papers.leaving_words import LeavingWords
from steadyrest.papers.typesetting import Sheet, picture, typeset
from steadyrest.wording import moments


@dataclass(frozen=True, slots=True)
class LeavingSheet:
    """What stands on a leaving sheet. shop: its name. words: the answer. path_svg, strip_svg: "" for none."""

    shop: str
    words: LeavingWords
    made: datetime
    timezone: str
    path_svg: str = ""
    strip_svg: str = ""
    sheet: Sheet = "a4"


def leaving_sheet(sheet: LeavingSheet) -> bytes:
    """The leaving sheet as PDF.

    Args:
        sheet: what stands on it.
    Returns: the PDF.
    """
    return typeset("leaving_sheet.typ", data(sheet), sheet=sheet.sheet, made=sheet.made)


def data(sheet: LeavingSheet) -> dict[str, object]:
    """The sheet as plain words."""
    return {
        **asdict(sheet.words),
        "shop": sheet.shop,
        "number": sheet.words.program,
        "made": f"{moments.day(sheet.made, sheet.timezone)}, {moments.moment(sheet.made, sheet.timezone)[-5:]}",
        "path_svg": picture(sheet.path_svg),
        "strip_svg": picture(sheet.strip_svg),
    }
