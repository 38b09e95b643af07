"""The pictures of a job, each drawn for a wide or a narrow screen, light or dark: asked for one by one by the page."""

from __future__ import annotations

from collections.abc import Mapping

from steadyrest.desk.plan import issue_paper
from steadyrest.desk.plan.plan_part import PlanAnswer

NIGHT_HIGHEST = 1.15  # of its width, on a wide screen; on a phone it is as long as it needs to be
# Width in mm, so that letters of some 4 mm are legible on a phone's 95 mm and on a page's 180 mm; and whether dark.
PHONE_MM, PAGE_MM = 95.0, 180.0
LOOKS: Mapping[str, tuple[float, bool]] = {
    "wide": (PAGE_MM, False),
    "wide-dark": (PAGE_MM, True),
    "narrow": (PHONE_MM, False),
    "narrow-dark": (PHONE_MM, True),
}


def picture(answer: PlanAnswer, name: str, look: str) -> str:
    """One picture as SVG text; empty if there is none of that name, look, or plan.

    Args:
        answer: the plan.
        name: "part", "sheets" or "night".
        look: a key of LOOKS.
    Returns: SVG text, or nothing.
    """
    if look not in LOOKS:
        return ""
    width_mm, dark = LOOKS[look]
    match name:
        case "part":
            return issue_paper.part_picture(answer, width_mm=width_mm, dark=dark)
        case "sheets":
            return issue_paper.sheets_picture(answer, width_mm=width_mm, dark=dark)
        case "night":
            highest = None if width_mm < PAGE_MM else NIGHT_HIGHEST * width_mm
            return issue_paper.night_picture(answer, width_mm=width_mm, height_mm=highest, dark=dark)
        case _:
            return ""
