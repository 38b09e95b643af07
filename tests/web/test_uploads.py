"""What is sent in: too large, too much for the disk, under a name with tricks; and what is sent out: inert."""

from __future__ import annotations

import asyncio
import errno
import re
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest
from sqlalchemy.exc import OperationalError
from starlette.types import Message

from steadyrest.store import full_disk
from steadyrest.store.files import Files
from steadyrest.web import limits, show
from tests.web.conftest import Open
from tests.web.test_app import put_in

GB = 10**9


def sent(app: Open, path: str, *, headers: dict[str, str], bodies: Iterator[bytes]) -> tuple[int, str, int]:
    """Send a body piece by piece: the status, the page, and how many bytes the app took."""
    got: list[Message] = []
    took = 0

    async def receive() -> Message:
        nonlocal took
        piece = next(bodies, b"")
        took += len(piece)
        return {"type": "http.request", "body": piece, "more_body": bool(piece)}

    async def send(message: Message) -> None:
        got.append(message)

    kind = "multipart/form-data; boundary=x"
    named = {"host": "testserver", "content-type": kind, **headers}
    scope = {
        "type": "http", "method": "POST", "path": path, "raw_path": path.encode(), "query_string": b"",
        "root_path": "", "scheme": "http", "http_version": "1.1", "server": ("testserver", 80),
        "client": ("127.0.0.1", 1), "headers": [(name.encode(), value.encode()) for name, value in named.items()],
    }  # fmt: skip
    asyncio.run(app.client.app(scope, receive, send))
    page = b"".join(one.get("body", b"") for one in got if one["type"] == "http.response.body")
    return int(got[0]["status"]), page.decode(), took


def pieces(size: int, each: int = 65536) -> Iterator[bytes]:
    yield b'--x\r\nContent-Disposition: form-data; name="file"; filename="a.stl"\r\n\r\n'
    for _ in range(size // each):
        yield bytes(each)


@pytest.mark.parametrize("path", ["/new", "/several", "/clock", "/leave", "/people"])
def test_two_gigabytes_are_refused_before_a_byte_of_them_is_read(app: Open, path: str) -> None:
    status, page, took = sent(app, path, headers={"content-length": str(2 * GB)}, bodies=pieces(2 * GB))
    assert (status, took) == (413, 0)
    assert "too large" in page


def test_a_body_that_does_not_say_its_size_is_cut_off_at_the_limit(app: Open, monkeypatch) -> None:
    monkeypatch.setattr(limits, "BY_ADDRESS", ((re.compile("/new"), 2 * limits.WORDS),))
    status, page, took = sent(app, "/new", headers={}, bodies=pieces(2 * GB))
    assert status == 413
    assert took <= 2 * limits.WORDS + 2 * 65536
    assert "too large" in page


def test_every_form_that_takes_a_file_has_a_limit_for_files_and_no_other_address_takes_more_than_words() -> None:
    forms = [
        re.sub("{{[^}]*}}", "1", action)
        for file in (Path(show.__file__).parent / "templates").rglob("*.html")
        for action in re.findall(r'action="([^"]*)"[^>]*multipart/form-data', file.read_text(encoding="utf-8"))
    ]
    assert len(forms) > 5
    assert [one for one in forms if limits.limit_of(one) == limits.WORDS] == []
    for path in ("/", "/sign-in", "/people", "/new/x", "/jobs/1/answer", "/jobs/x/revisions"):
        assert limits.limit_of(path) == limits.WORDS


def test_what_would_fill_the_disk_is_refused_before_it_is_read(app: Open, monkeypatch) -> None:
    size = 100_000_000
    monkeypatch.setattr(limits.shutil, "disk_usage", lambda _: SimpleNamespace(free=limits.ROOM + size - 1))
    status, page, took = sent(app, "/new", headers={"content-length": str(size)}, bodies=pieces(size))
    assert (status, took) == (507, 0)
    assert full_disk.WHAT in page


@pytest.mark.parametrize(
    "fault",
    [
        OSError(errno.ENOSPC, "No space left on device"),
        OperationalError("INSERT ...", {}, sqlite3.OperationalError("database or disk is full")),
    ],
)
def test_a_disk_that_is_full_is_said_in_one_line_and_nothing_is_half_written(app: Open, monkeypatch, fault) -> None:
    jobs, files = app.client.get("/").text, sorted(app.folder.rglob("*"))

    def keep(_self: Files, _data: bytes) -> str:
        raise fault

    monkeypatch.setattr(Files, "keep", keep)
    got = put_in(app)
    assert got.status_code == 507
    assert full_disk.WHAT in got.text
    assert "take nothing out of that folder" in got.text
    monkeypatch.undo()
    assert app.client.get("/").text == jobs
    assert sorted(app.folder.rglob("*")) == files


def test_a_fault_that_is_no_full_disk_is_not_called_one() -> None:
    assert not full_disk.disk_is_full(OSError(errno.EACCES, "Permission denied"))
    assert not full_disk.disk_is_full(OperationalError("x", {}, sqlite3.OperationalError("database is locked")))
    assert not full_disk.disk_is_full(None)
    try:
        raise RuntimeError from OSError(errno.EDQUOT, "Disk quota exceeded")
    except RuntimeError as fault:
        assert full_disk.disk_is_full(fault)  # noqa: PT017  what it came from counts


@pytest.mark.parametrize("name", ["../../../../tmp/out.stl", "/etc/out.stl", "..\\..\\out.stl", "out.stl\x00.txt", "."])
def test_a_name_with_tricks_names_nothing_outside(app: Open, name: str, tmp_path: Path) -> None:
    before = {file for file in app.folder.parent.rglob("*") if "out.stl" in file.name}
    got = put_in(app, name=name)
    assert got.status_code in (303, 422)
    assert {file for file in app.folder.parent.rglob("*") if "out.stl" in file.name} == before
    assert not any(Path(there).exists() for there in ("/tmp/out.stl", "/etc/out.stl"))


@pytest.mark.parametrize(
    "path",
    ["/static/..%2f..%2fapp.py", "/static/%2e%2e/%2e%2e/app.py", "/fonts/..%2f__init__.py", "/fonts/%2e%2e",
     "/record/1/photo/..%2f..%2fsteadyrest.db", "/static/css/../../../app.py"],
)  # fmt: skip
def test_an_address_with_tricks_reads_nothing_outside(app: Open, path: str) -> None:
    got = app.client.get(path)
    assert got.status_code == 404
    assert "import annotations" not in got.text


def test_every_answer_is_taken_for_what_it_says_it_is_and_stays_with_this_site(app: Open) -> None:
    for path in ("/", f"/jobs/{app.goes}/part/wide.svg", "/static/bundle.js", "/nowhere", "/sign-in"):
        headers = app.client.get(path).headers
        assert headers["x-content-type-options"] == "nosniff", path
        assert headers["x-frame-options"] == "DENY"
        assert headers["cross-origin-resource-policy"] == "same-origin"
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
