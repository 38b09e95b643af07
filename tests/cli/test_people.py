"""`steadyrest people` by its contract, and what the log of requests holds."""

from __future__ import annotations

import io
import json
from datetime import timedelta

import pytest
from starlette.responses import PlainTextResponse
from starlette.testclient import TestClient

from steadyrest.cli import main
from steadyrest.trouble import BadInput
from steadyrest.web.request_log import RequestLog
from tests.web.workshop import NOW


@pytest.fixture
def run(capsys, tmp_path, monkeypatch):
    def told(*words: str, typed: str = "") -> tuple[int, str, str]:
        monkeypatch.setattr("sys.stdin", io.StringIO(typed))
        capsys.readouterr()
        status = main.status(["people", *words, "--data", str(tmp_path / "data"), "--now", NOW.isoformat()])
        return status, *capsys.readouterr()

    return told


def roles(out: str) -> dict[str, str | None]:
    return {one["person"]: one["role"] for one in json.loads(out)["people"]}


def test_pins_are_given_and_taken_and_never_printed(run) -> None:
    status, out, _ = run("list")
    assert status == 0
    assert "Nobody has a PIN" in out
    status, out, err = run("pin", "ambra", "--role", "owner", "--json", typed="4711\n")
    assert (status, roles(out)["ambra"], roles(out)["ines"]) == (0, "owner", None)
    assert "4711" not in out + err
    status, out, _ = run("pin", "ines", "--json", "--who", "ambra", typed="a longer password\r\n")
    assert roles(out)["ines"] == "hand"
    assert run("take", "ines", "--json")[0] == 0
    assert roles(run("list", "--json")[1])["ines"] is None


@pytest.mark.parametrize(
    ("words", "typed", "says"),
    [
        (("pin", "ines"), "1234\n", "nobody would be left"),
        (("pin", "ambra", "--role", "owner"), "", "four digits"),
        (("pin", "ambra", "--role", "owner"), "12\n", "four digits"),
        (("pin", "nobody"), "1234\n", "Its people are"),
        (("take", "ambra"), "", "there is none"),
        (("forget", "0011"), "", "not in any more"),
        (("pin",), "1234\n", "nobody is named"),
    ],
)
def test_what_cannot_be_is_one_line_and_nothing_on_standard_output(run, words, typed: str, says: str) -> None:
    status, out, err = run(*words, typed=typed)
    assert (status, out) == (2, "")
    assert says in err
    assert err.count("\n") == 1


def test_a_line_of_the_log_says_when_who_and_what_and_no_secret(tmp_path) -> None:
    file, moments = tmp_path / "requests.log", iter([NOW, NOW + timedelta(milliseconds=250)])
    logged = RequestLog(PlainTextResponse("x", status_code=403), file, lambda: next(moments))
    client = TestClient(logged, cookies={"steadyrest": "token-of-a-device"}, client=("192.0.2.7", 1))
    client.post("/sign-in%0Aforged?next=secret-in-a-query", data={"pin": "4711"})
    logged.close()
    (line,) = file.read_text(encoding="utf-8").splitlines()
    assert line == "2026-11-27T12:10:00+01:00 192.0.2.7 - POST /sign-in%0Aforged 403 250 ms"
    with pytest.raises(BadInput, match="cannot be written"):
        RequestLog(PlainTextResponse("x"), tmp_path / "no" / "such" / "folder.log", lambda: NOW)
