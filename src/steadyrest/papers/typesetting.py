"""From plain data to a PDF: typst with our own fonts and templates, nothing from the system, nothing from outside.

The same data give the same bytes: the moment in the file is an argument. Text reaches the templates as text, never as
markup.
"""

from __future__ import annotations

import io
import json
import re
from collections.abc import Mapping
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from steadyrest.papers.letters import FONTS, LACKING, printable

if TYPE_CHECKING:
    import typst

Sheet = Literal["a4", "us-letter"]
TEMPLATES = Path(__file__).parent / "templates"
# Kept for years, and read aloud by a screen reader.
STANDARDS: list[typst.PDFStandard] = ["a-2a", "ua-1"]  # pyright: ignore[reportPrivateImportUsage, reportAttributeAccessIssue]
FONT_FAMILY = re.compile(r"""font-family=("[^"]*"|'[^']*')""")


@cache
def fonts() -> typst.Fonts:
    """Our fonts and no others, so that a missing character is seen here and not on somebody's wall."""
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[FONTS])


def typeset(template: str, data: Mapping[str, object], *, sheet: Sheet, made: datetime) -> bytes:
    """A paper as PDF.

    Args:
        template: a file's name in templates/.
        data: plain JSON data; what the template expects.
        sheet: the paper's size.
        made: aware moment, written into the file.
    Returns: the PDF; the same for the same arguments.
    Raises: RuntimeError: the template and its data do not fit; our own mistake.
    """
    import typst

    words = json.dumps({**printable(dict(data)), "sheet": sheet}, ensure_ascii=False, allow_nan=False)
    compiler = typst.Compiler(
        TEMPLATES / template,
        root=TEMPLATES,
        font_paths=fonts(),
        ignore_system_fonts=True,
        sys_inputs={"data": words, "lacking": LACKING if LACKING in words else ""},
    )
    pdf = compiler.compile(format="pdf", pdf_standards=STANDARDS, timestamp=int(made.timestamp()))
    assert isinstance(pdf, bytes)
    return pdf


def picture(svg: str) -> str:
    """A picture with its text in the paper's own font.

    Args:
        svg: SVG text, such as papers/drawing makes.
    Returns: SVG text.
    """
    return FONT_FAMILY.sub("font-family=\"'Atkinson Hyperlegible Next', 'DejaVu Sans'\"", svg)


def code(link: str) -> str:
    """A square code that a phone's camera reads, as SVG.

    Args:
        link: where it leads.
    Returns: SVG text, black on white, with the margin that the standard asks for (ISO/IEC 18004: 4 modules).
    """
    import segno

    drawn = io.BytesIO()
    segno.make_qr(link, error="m").save(drawn, kind="svg", border=4, omitsize=True, xmldecl=False)
    return drawn.getvalue().decode()
