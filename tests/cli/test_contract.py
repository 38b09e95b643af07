"""The command line as others rely on it: verbs, flags, exit codes, streams, keys."""

from __future__ import annotations

import contextlib
import io
import json
import shlex
from pathlib import Path

import pytest

from steadyrest.cli import verbs
from steadyrest.cli.main import parser, status
from steadyrest.demo import scan
from tests.forward.parts import PARTS

NOW = "2026-11-27T12:10:00+01:00"
DUE = "2026-12-01T18:00:00+01:00"
FEATURE_KINDS = {
    "face", "shaft", "bore", "cone", "sphere", "fillet", "chamfer", "slot", "keyway", "groove", "thread", "pocket",
    "boss", "hexagon", "flat", "free",
}  # fmt: skip
READ_KEYS = {
    "kind", "unit", "size_mm", "volume_mm3", "mass_kg", "axisymmetric", "solids", "approach_directions_min",
    "stock_size", "broken", "features", "patterns", "doubts", "next_reading",
}  # fmt: skip
FEATURE_KEYS = {
    "id", "kind", "measured_mm", "uncertainty_mm", "axis", "at_mm", "through", "wear_mm", "seen", "pattern", "nominal",
}  # fmt: skip
PLAN_KEYS = {"take", "routes", "chosen", "price", "promise", "measure", "handling", "seed"}
ROUTE_KEYS = {"steps", "blank", "piece", "buy", "cost", "finish", "cannot"}
STEP_KEYS = {
    "station", "machine", "phases", "person_s", "machine_s", "unattended", "limits", "cautions", "hold_points",
}  # fmt: skip
PLAN = ("--unit", "mm", "--material", "C45", "--due", DUE, "--now", NOW)
PHASE_KEYS = {"duration_s", "spread", "who", "interruptible", "max_wait_s"}


@pytest.fixture(scope="session")
def pin(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A scan of a stepped pin, no unit in the file."""
    file = tmp_path_factory.mktemp("scans") / "pin.ply"
    settings = scan.ScanSettings(voxel_mm=0.6, noise_mm=0.02)
    scan.write_ply(file, *scan.scan(PARTS["stepped_pin"](), settings, seed=3))
    return file


@pytest.fixture(scope="session")
def block(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A plain block as text STL: no axis to turn about."""
    file = tmp_path_factory.mktemp("solids") / "block.stl"
    a, b, c = 40.0, 30.0, 20.0
    corners = [(x, y, z) for x in (0, a) for y in (0, b) for z in (0, c)]
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    lines = ["solid block"]
    for p, q, r, s in quads:
        for triangle in ((p, q, r), (p, r, s)):
            lines += ["facet normal 0 0 0", "outer loop"]
            lines += [f"vertex {corners[k][0]} {corners[k][1]} {corners[k][2]}" for k in triangle]
            lines += ["endloop", "endfacet"]
    file.write_text("\n".join([*lines, "endsolid block"]))
    return file


def answered(capsys: pytest.CaptureFixture[str], *words: str | Path) -> dict[str, object]:
    """Exit status 0 and exactly one JSON document on standard output."""
    code = status([str(word) for word in words])
    out, err = capsys.readouterr()
    assert code == 0, err
    assert out.count("\n") == 1
    document = json.loads(out)
    assert isinstance(document, dict)
    return document


def refused(capsys: pytest.CaptureFixture[str], *words: str | Path) -> str:
    """Exit status 2, nothing on standard output, one line on standard error."""
    code = status([str(word) for word in words])
    out, err = capsys.readouterr()
    assert code == 2, err
    assert out == ""
    assert err.count("\n") == 1
    assert "Traceback" not in err
    return err


def test_every_verb_explains_itself_with_an_example_that_parses() -> None:
    for verb in verbs.VERBS:
        words = shlex.split(verb.example)
        assert words[:2] == ["steadyrest", verb.name]
        assert parser().parse_args(words[1:]).verb == verb.name
        assert verb.says.endswith(".")


def test_a_file_without_unit_is_asked_about_and_not_guessed(pin: Path, capsys: pytest.CaptureFixture[str]) -> None:
    document = answered(capsys, "read", pin, "--json", "--now", NOW)
    assert document["unit"]["state"] == "ask"  # type: ignore[index]


def test_a_plan_without_unit_says_how_to_give_it(pin: Path, capsys: pytest.CaptureFixture[str]) -> None:
    line = refused(capsys, "plan", pin, "--material", "C45", "--due", DUE, "--now", NOW, "--json")
    assert "--unit" in line


def test_read_has_the_contract_s_keys(pin: Path, capsys: pytest.CaptureFixture[str]) -> None:
    document = answered(capsys, "read", pin, "--unit", "mm", "--material", "C45", "--json")
    assert set(document) >= READ_KEYS
    assert set(document["unit"]) >= {"name", "state", "why"}  # type: ignore[call-overload]
    assert document["kind"] == "scan"
    assert document["axisymmetric"] is True
    features = document["features"]
    assert isinstance(features, list)
    assert features
    for feature in features:
        assert set(feature) >= FEATURE_KEYS
        assert feature["kind"] in FEATURE_KINDS
        if feature["nominal"]:
            assert set(feature["nominal"]) >= {"shown", "odds", "state", "source", "limits_mm", "limits_why"}
            assert feature["nominal"]["state"] in ("sure", "likely", "ask")


@pytest.fixture(scope="module")
def planned(pin: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, object]:
    """A plan, made in an empty folder with no data folder named: nothing is kept."""
    here = tmp_path_factory.mktemp("nothing")
    out = io.StringIO()
    with contextlib.chdir(here), contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):
        assert status(["plan", str(pin), *PLAN, "--seed", "5", "--json"]) == 0
    assert not list(here.iterdir())
    assert out.getvalue().count("\n") == 1
    return json.loads(out.getvalue())


def test_plan_has_the_contract_s_keys(planned: dict[str, object]) -> None:
    document = planned
    assert set(document) >= PLAN_KEYS
    assert document["take"]["answer"] in ("yes", "no", "yes if")  # type: ignore[index]
    routes = document["routes"]
    assert isinstance(routes, list)
    for route in routes:
        assert set(route) >= ROUTE_KEYS
        assert set(route["cost"]) >= {"p10", "p50", "p90"}
        assert set(route["finish"]) >= {"p50", "p90"}
        for step in route["steps"]:
            assert set(step) >= STEP_KEYS
            for phase in step["phases"]:
                assert set(phase) >= PHASE_KEYS
    promise = document["promise"]
    assert set(promise) >= {"finish", "odds"}  # type: ignore[call-overload]
    assert promise["pegs"] == int(10 * promise["odds"] + 1e-9)  # type: ignore[index,call-overload]
    assert set(document["price"]) >= {"walk_away", "offer", "breaks", "currency"}  # type: ignore[call-overload]


def test_a_part_that_this_floor_cannot_make_is_an_answer(block: Path, capsys: pytest.CaptureFixture[str]) -> None:
    document = answered(
        capsys, "plan", block, "--unit", "mm", "--material", "Ti-6Al-4V", "--due", DUE, "--now", NOW, "--json"
    )  # nobody sells it, and none lies in the rack
    assert document["take"]["answer"] == "no"  # type: ignore[index]
    assert document["take"]["why"]  # type: ignore[index]
    assert any(route["cannot"] for route in document["routes"])  # type: ignore[union-attr,call-overload,index]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--due", "2026-11-27T12:00:00+01:00"), "later than now"),
        (("--due", "2026-12-01T18:00"), "offset"),
        (("--due", "soon"), "offset"),
        (("--quantity", "0"), "--quantity"),
        (("--quantity", "1000000000"), "--quantity"),
        (("--quantity", "two"), "--quantity"),
        (("--material", "unobtainium"), "unobtainium"),
        (("--now", "2026-11-27"), "--now"),
        (("--seed", "-1"), "--seed"),
        (("--unit", "furlong"), "--unit"),
        (("--shop", "there-is-no-such.toml"), "there-is-no-such.toml"),
        (("--wrong",), "--wrong"),
    ],
)
def test_a_wrong_word_is_one_line(
    pin: Path, words: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert told in refused(capsys, "plan", pin, *PLAN, "--json", *words)


@pytest.mark.parametrize("verb", ["read", "plan"])
@pytest.mark.parametrize("kind", ["missing", "folder", "empty", "text", "random", "truncated"])
def test_a_bad_file_is_one_line(
    verb: str, kind: str, pin: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "part.ply"
    if kind == "folder":
        file.mkdir()
    elif kind == "empty":
        file.write_bytes(b"")
    elif kind == "text":
        file.write_text("dear sir, please make me a shaft\n" * 9)
    elif kind == "random":
        file.write_bytes(bytes(range(256)) * 40)
    elif kind == "truncated":
        file.write_bytes(pin.read_bytes()[:20_000])
    line = refused(capsys, verb, file, *(PLAN if verb == "plan" else ("--unit", "mm")), "--json")
    assert "part.ply" in line


def test_the_same_question_gets_the_same_answer_and_a_data_folder_keeps_it(
    pin: Path, planned: dict[str, object], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    again = answered(capsys, "plan", pin, *PLAN, "--seed", "5", "--json", "--data", tmp_path / "kept")
    assert again == planned
    from steadyrest.cli.plan_answers import plan_answer
    from steadyrest.desk.place import open_place
    from steadyrest.desk.plan import keeping

    place = open_place(tmp_path / "kept", None)
    try:
        (kept,) = keeping.kept_jobs(place.store)
    finally:
        place.close()
    assert json.loads(json.dumps(plan_answer(kept.answer))) == again


def test_hand_over_writes_what_it_says(pin: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answered(capsys, "read", pin, "--unit", "mm", "--json", "--out", tmp_path / "out")
    assert {file.name for file in (tmp_path / "out").iterdir()} == {
        "picture.svg", "sizes.csv", "profile.dxf", "nominal.step",
    }  # fmt: skip


def test_words_for_a_person_name_all_six_answers(pin: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert status(["plan", str(pin), *PLAN]) == 0
    out = capsys.readouterr().out
    for question in ("What is it?", "From what", "By when?", "For how much?", "Should I take it?", "Is it right?"):
        assert question in out
