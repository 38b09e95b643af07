"""The square codes that we print, read from the page by another library (zxing-cpp), and PNG by its own description."""

from __future__ import annotations

import json
from datetime import UTC, datetime

import typst
import zxingcpp

from steadyrest.papers import labels as papers
from steadyrest.papers.labels import Label
from steadyrest.papers.letters import FONTS
from steadyrest.papers.typesetting import TEMPLATES
from steadyrest.tables.label_sheets import label_sheets
from tests.oracles.plain_png import grey


def page_of(monkeypatch, found, sheet, skip):
    """The first page of labels as it is printed, as PNG."""
    kept = {}

    def keep(template, data, **more):
        kept.update(template=template, data={**data, "sheet": more["sheet"]})
        return b""

    monkeypatch.setattr(papers, "typeset", keep)
    papers.labels(found, sheet, shop="The shop", skip=skip, made=datetime(2026, 5, 4, tzinfo=UTC))
    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[FONTS])
    compiler = typst.Compiler(
        TEMPLATES / kept["template"], root=TEMPLATES, font_paths=fonts, ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(kept["data"]), "lacking": ""},
    )  # fmt: skip
    made = compiler.compile(format="png", ppi=90)
    return made if isinstance(made, bytes) else made[0]


def test_every_code_on_a_sheet_of_labels_leads_to_its_piece(monkeypatch):
    sheet = next(one for one in label_sheets() if one.name == "70x37")
    links = [f"http://192.168.1.20:8744/rack/{name}" for name in ("P7", "R17", "rest of 214")]
    found = [Label(link.rsplit("/", 1)[1], ("round 40 mm", "C45, heat 4711", "rack 2"), link) for link in links]
    page = grey(page_of(monkeypatch, found, sheet, skip=2))
    read = zxingcpp.read_barcodes(page)
    assert sorted(one.text for one in read) == sorted(links)
