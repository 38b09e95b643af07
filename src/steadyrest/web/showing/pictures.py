"""The pictures of a job, each drawn for a wide or a narrow screen, light or dark: asked for one by one by the page."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from steadyrest.desk import issue_paper
from steadyrest.desk.plan_part import PlanAnswer

PICTURES: Mapping[str, Callable[..., str]] = {"part": issue_paper.part_picture, "night": issue_paper.night_picture}
# Width in mm, so that letters of some 4 mm are legible on a phone's 95 mm and on a page's 180 mm; and whether dark.
LOOKS: Mapping[str, tuple[float, bool]] = {
    "wide": (180.0, False), "wide-dark": (180.0, True), "narrow": (95.0, False), "narrow-dark": (95.0, True),
}  # fmt: skip


def picture(answer: PlanAnswer, name: str, look: str) -> str:
    """One picture as SVG text; empty if there is none of that name, look, or plan.

    Args:
        answer: the plan.
        name: a key of PICTURES.
        look: a key of LOOKS.
    Returns: SVG text, or nothing.
    """
    if name not in PICTURES or look not in LOOKS:
        return ""
    width_mm, dark = LOOKS[look]
    return PICTURES[name](answer, width_mm=width_mm, dark=dark)
