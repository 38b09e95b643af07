"""Release: the very file that was checked, whole or not at all, with a record; nothing of the machine's overwritten."""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from steadyrest.demo.programs import PROGRAMS, write_programs
from steadyrest.desk.night.leave import ShopText, leave_bytes
from steadyrest.desk.night.release_program import note_checked, plain_name, release_file
from steadyrest.desk.which_shop import example_text
from steadyrest.store import releases
from steadyrest.store.opening import open_store
from steadyrest.store.releases import RELEASED
from steadyrest.trouble import BadInput

NOW = datetime(2026, 11, 27, 18, 40, tzinfo=UTC)
SHOP = ShopText(example_text(), "the example shop", example=True)


@pytest.fixture
def floor(tmp_path: Path):
    """A data folder with a watched folder in it, and the demo's programs."""
    (tmp_path / "to-the-lathe").mkdir()
    (tmp_path / "to-the-mill").mkdir()
    write_programs(tmp_path / "programs")
    return tmp_path


def check(floor: Path, name: str, machine: str) -> str:
    data = (floor / "programs" / name).read_bytes()
    answer = leave_bytes(data, name, machine=machine, shop=SHOP, progress=lambda *_: None, stop=lambda: False)
    store = open_store(floor)
    note_checked(store, answer, now=NOW)
    store.close()
    return answer.may_leave


def release(floor: Path, name: str, machine: str, *, by: str = "ambra", attended: bool = False, hours: float = 0.0):
    return release_file(
        floor / "programs" / name, machine=machine, by=by, attended=attended, shop=SHOP, data=floor, unit=None,
        now=NOW + timedelta(hours=hours),
    )  # fmt: skip


def change(floor: Path, name: str, old: str, new: str) -> None:
    file = floor / "programs" / name
    text = file.read_text()
    assert old in text
    file.write_text(text.replace(old, new))


def test_the_demo_has_one_that_may_one_that_may_if_and_one_that_may_not(floor: Path) -> None:
    answers = {name: check(floor, name, "mill" if name == "keyway.nc" else "lathe") for name in PROGRAMS}
    assert answers == {"shaft-side-1.nc": "yes", "spacers.nc": "yes if", "keyway.nc": "no"}


def test_what_was_checked_arrives_byte_for_byte_and_is_written_down(floor: Path) -> None:
    check(floor, "shaft-side-1.nc", "lathe")
    told = release(floor, "shaft-side-1.nc", "lathe", by="ines")
    arrived = floor / "to-the-lathe" / "shaft-side-1.nc"
    assert arrived.read_bytes() == (floor / "programs" / "shaft-side-1.nc").read_bytes()
    assert [one.name for one in arrived.parent.iterdir()] == ["shaft-side-1.nc"]
    store = open_store(floor)
    with store.reading() as session:
        noted = releases.last(session, RELEASED, program="shaft-side-1.nc", machine="lathe")
    store.close()
    assert noted is not None
    assert (noted.who, noted.when, noted.sha256, noted.to) == ("ines", NOW, told.noted.sha256, str(arrived))
    assert told.before is None
    assert told.cautions


@pytest.mark.skipif(os.name == "nt", reason="modes of files are not Windows'")
def test_the_control_may_read_what_arrived(floor: Path) -> None:
    check(floor, "shaft-side-1.nc", "lathe")
    release(floor, "shaft-side-1.nc", "lathe")
    assert (floor / "to-the-lathe" / "shaft-side-1.nc").stat().st_mode & 0o044 == 0o044


def test_a_program_that_nobody_checked_is_refused(floor: Path) -> None:
    with pytest.raises(BadInput, match="not checked"):
        release(floor, "shaft-side-1.nc", "lathe")


def test_one_checked_for_another_machine_is_refused(floor: Path) -> None:
    check(floor, "keyway.nc", "mill")
    with pytest.raises(BadInput, match="not checked for lathe"):
        release(floor, "keyway.nc", "lathe", attended=True)


def test_one_digit_changed_since_the_check_is_refused_and_nothing_arrives(floor: Path) -> None:
    check(floor, "shaft-side-1.nc", "lathe")
    change(floor, "shaft-side-1.nc", "F0.3", "F0.8")
    with pytest.raises(BadInput, match="changed since it was checked"):
        release(floor, "shaft-side-1.nc", "lathe")
    assert not list((floor / "to-the-lathe").iterdir())


def test_a_no_goes_only_where_somebody_stays(floor: Path) -> None:
    check(floor, "keyway.nc", "mill")
    with pytest.raises(BadInput, match="said no"):
        release(floor, "keyway.nc", "mill")
    told = release(floor, "keyway.nc", "mill", attended=True)
    assert told.noted.answer == "no"
    assert told.said[0].key == "release.stay"


def test_the_difference_is_told_in_moves(floor: Path) -> None:
    check(floor, "shaft-side-1.nc", "lathe")
    release(floor, "shaft-side-1.nc", "lathe")
    change(floor, "shaft-side-1.nc", "F0.3", "F0.35")
    check(floor, "shaft-side-1.nc", "lathe")
    told = release(floor, "shaft-side-1.nc", "lathe", hours=1)
    assert {(one.kind, one.tool) for one in told.differences} == {("feed", 1)}
    assert told.before is not None
    again = release(floor, "shaft-side-1.nc", "lathe", hours=2)
    assert again.differences == ()
    assert again.said[-1].key == "release.alike"


def test_what_somebody_changed_at_the_machine_is_not_overwritten(floor: Path) -> None:
    check(floor, "shaft-side-1.nc", "lathe")
    release(floor, "shaft-side-1.nc", "lathe")
    there = floor / "to-the-lathe" / "shaft-side-1.nc"
    there.write_text(there.read_text().replace("F0.3", "F0.2"))
    changed = there.read_bytes()
    with pytest.raises(BadInput, match="changed it at the machine"):
        release(floor, "shaft-side-1.nc", "lathe", hours=1)
    assert there.read_bytes() == changed


def test_a_folder_that_is_not_there_leaves_no_record(floor: Path) -> None:
    check(floor, "shaft-side-1.nc", "lathe")
    (floor / "to-the-lathe").rmdir()
    with pytest.raises(BadInput, match="cannot be put there"):
        release(floor, "shaft-side-1.nc", "lathe")
    store = open_store(floor)
    with store.reading() as session:
        assert releases.all_of(session, RELEASED) == ()
    store.close()


def test_what_arrives_otherwise_than_sent_is_taken_back(floor: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    check(floor, "shaft-side-1.nc", "lathe")
    monkeypatch.setattr(releases, "sha256_of", lambda _path: "0" * 64)
    with pytest.raises(BadInput, match="not what was sent"):
        release(floor, "shaft-side-1.nc", "lathe")
    assert not list((floor / "to-the-lathe").iterdir())


def test_a_copy_that_ends_in_the_middle_leaves_the_old_one_and_no_record(
    floor: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    check(floor, "shaft-side-1.nc", "lathe")
    release(floor, "shaft-side-1.nc", "lathe")
    there = floor / "to-the-lathe" / "shaft-side-1.nc"
    before = there.read_bytes()
    change(floor, "shaft-side-1.nc", "F0.3", "F0.25")
    check(floor, "shaft-side-1.nc", "lathe")

    def no_rename(_old: object, _new: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "replace", no_rename)
    with pytest.raises(KeyboardInterrupt):
        release(floor, "shaft-side-1.nc", "lathe", hours=1)
    monkeypatch.undo()
    assert there.read_bytes() == before
    assert list(there.parent.iterdir()) == [there]
    store = open_store(floor)
    with store.reading() as session:
        assert len(releases.all_of(session, RELEASED)) == 1
    store.close()


@pytest.mark.parametrize("by", ["", "  "])
def test_somebody_has_to_be_named(floor: Path, by: str) -> None:
    check(floor, "shaft-side-1.nc", "lathe")
    with pytest.raises(BadInput, match="nobody is named"):
        release(floor, "shaft-side-1.nc", "lathe", by=by)


def test_without_a_data_folder_there_is_no_record_to_go_by(floor: Path) -> None:
    with pytest.raises(BadInput, match="no data folder"):
        release_file(
            floor / "programs" / "spacers.nc", machine="lathe", by="ines", attended=False, shop=SHOP, data=None,
            unit=None, now=NOW,
        )  # fmt: skip


@pytest.mark.parametrize(
    ("name", "plain"),
    [("a.nc", "a.nc"), ("folder/a.nc", "a.nc"), ("C:\\parts\\a.nc", "a.nc"), ("../../a.nc", "a.nc"), ("..", "..")],
)
def test_a_name_never_leads_out_of_the_folder(name: str, plain: str) -> None:
    assert plain_name(name) == plain
