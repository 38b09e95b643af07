"""Every table can be read, and every row says where it comes from."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

import steadyrest
from steadyrest.tables.rows import STANDINGS, rows, sources, table_names


@pytest.mark.parametrize("name", table_names())
def test_every_row_names_a_known_source_and_its_standing(name: str) -> None:
    assert rows(name)
    for row in rows(name):
        assert row.text("source") in sources(), row.at
        assert row.text("standing") in STANDINGS, row.at
        assert "note" in row.cells, row.at
        assert None not in row.cells, row.at  # more cells than headings


@pytest.mark.parametrize("name", table_names())
def test_no_row_stands_twice(name: str) -> None:
    told = [tuple(row.cells.values()) for row in rows(name)]
    assert len(told) == len(set(told))


def test_every_source_is_used_and_says_where_it_was_read() -> None:
    used = {row.text("source") for name in table_names() for row in rows(name)}
    assert used | named_in_code() == set(sources())
    assert all(source.title and source.edition and source.where for source in sources().values())


def named_in_code() -> set[str]:
    """The sources of formulas, which stand beside them."""
    named = re.compile(r'(?:source=|SOURCE = )"([a-z0-9-]+)"')
    package = Path(steadyrest.__file__).parent
    return {key for file in package.rglob("*.py") for key in named.findall(file.read_text(encoding="utf-8"))}


def test_every_source_that_a_reason_names_is_known() -> None:
    assert named_in_code() <= set(sources())


def test_a_row_of_memory_never_passes_for_seen() -> None:
    for name in table_names():
        for row in rows(name):
            if row.text("standing") in ("seen", "seen in a reprint"):
                assert "from memory" not in sources()[row.text("source")].where.split(";")[0], row.at


def test_a_cell_that_is_no_number_names_its_file_and_line() -> None:
    row = rows("tapers")[0]
    with pytest.raises(ValueError, match=r"tapers\.csv line 2: name is 'Morse 0', not a number"):
        row.number("name")


def test_importing_the_readers_opens_no_file() -> None:
    watch = (
        "import sys, builtins, io\n"
        "from pathlib import Path\n"
        "opened = []\n"
        "sys.addaudithook(lambda event, args: event == 'open' and opened.append(str(args[0])))\n"
        "from steadyrest.tables import materials, fits, keys, bar_stock, bearings, sizes, threads\n"
        "assert not [name for name in opened if name.endswith(('.csv', '.toml'))], opened\n"
    )
    subprocess.run([sys.executable, "-c", watch], check=True)
