"""Saving a plan's file, whole or not at all; and plans with candidate changes."""

import os

import pytest

from homestead import units
from homestead.plan import PlanError, PlanFile, demo_path, disk, kept, open_plan, with_changes
from homestead.plan import file as plan_file

DEMO_TEXT = demo_path().read_text(encoding="utf-8")


# --- saving --------------------------------------------------------------------------------------


def test_save_is_whole_and_keeps_the_older_version(path):
    os.chmod(path, 0o640)
    opened = PlanFile(path)
    opened.save()
    assert opened.revisions() == []  # nothing changed, nothing written
    opened.set("cistern.volume", "5000 gal")
    opened.save()
    assert path.read_text(encoding="utf-8") == DEMO_TEXT.replace('"2500 gal"', '"5000 gal"')
    (older,) = opened.revisions()
    assert older.read_text(encoding="utf-8") == DEMO_TEXT
    assert older.name.startswith("plan-20") and older.parent == path.parent / "revisions"
    assert path.stat().st_mode & 0o777 == 0o640
    assert not opened.is_changed
    opened.set("cistern.volume", "6000 gal")
    opened.save()
    assert len(opened.revisions()) == 2
    assert {one.name for one in path.parent.iterdir()} == {"plan.toml", "revisions"}


def test_save_refuses_what_was_changed_meanwhile(path):
    opened = PlanFile(path)
    opened.set("cistern.volume", "5000 gal")
    theirs = DEMO_TEXT + "# a line by somebody else\n"
    path.write_text(theirs, encoding="utf-8")
    with pytest.raises(PlanError, match="was changed somewhere else since you opened it"):
        opened.save()
    assert path.read_text(encoding="utf-8") == theirs and opened.revisions() == []


def test_save_refuses_the_demo():
    opened = PlanFile(demo_path())
    assert opened.is_demo
    opened.set("cistern.volume", "5000 gal")
    with pytest.raises(PlanError, match="the demo stays as it is"):
        opened.save()
    assert demo_path().read_text(encoding="utf-8") == DEMO_TEXT


def test_a_link_to_the_demo_is_the_demo(tmp_path):
    (tmp_path / "plan.toml").symlink_to(demo_path())
    assert PlanFile(tmp_path).is_demo


def test_a_link_stays_a_link(path, tmp_path):
    link = tmp_path / "link.toml"
    link.symlink_to(path)
    opened = PlanFile(link)
    opened.set("cistern.volume", "5000 gal")
    opened.save()
    assert link.is_symlink() and '"5000 gal"' in path.read_text(encoding="utf-8")


def test_what_a_killed_save_left_goes_with_the_next_one_through_a_link(path, tmp_path, monkeypatch):
    link = tmp_path / "elsewhere" / "ours.toml"
    link.parent.mkdir()
    link.symlink_to(path)
    left = path.with_name(f".{path.name}.abc.part")
    left.write_text("half", encoding="utf-8")
    opened = PlanFile(link)
    opened.set("cistern.volume", "5000 gal")
    opened.save()
    assert not left.exists()
    # Whoever saves the file itself meanwhile is waited for: what it is writing is no leftover.
    monkeypatch.setattr(disk, "LOCK_WAIT_S", 0.1)
    opened.set("cistern.volume", "6000 gal")
    with disk.only_writer(path.parent / "revisions" / ".lock"):
        with pytest.raises(PlanError, match="is being saved by another program"):
            opened.save()


def test_a_folder_that_cannot_be_written(path):
    (path.parent / "revisions").write_text("a file where the folder should be")
    opened = PlanFile(path)
    opened.set("cistern.volume", "5000 gal")
    with pytest.raises(PlanError, match=r"cannot be written \(.+\); nothing was changed"):
        opened.save()
    assert path.read_text(encoding="utf-8") == DEMO_TEXT


@pytest.mark.parametrize("step", ["replace", "fsync"])
@pytest.mark.parametrize("trouble", [OSError(28, "No space left on device"), KeyboardInterrupt()])
def test_an_interrupted_save_leaves_the_old_file_whole(path, monkeypatch, step, trouble):
    opened = PlanFile(path)
    opened.set("cistern.volume", "5000 gal")

    def stop(*_):
        raise trouble

    monkeypatch.setattr(plan_file.os, step, stop)
    wanted = PlanError if isinstance(trouble, OSError) else KeyboardInterrupt
    with pytest.raises(wanted, match="No space left" if wanted is PlanError else None):
        opened.save()
    monkeypatch.undo()
    assert path.read_text(encoding="utf-8") == DEMO_TEXT
    assert list(path.parent.rglob("*.part")) == []
    opened.save()  # the change is still there to be saved
    assert '"5000 gal"' in path.read_text(encoding="utf-8")


def test_line_ends_of_windows_stay(path):
    windows = DEMO_TEXT.replace("\n", "\r\n").encode()
    path.write_bytes(windows)
    opened = PlanFile(path)
    assert not opened.is_changed
    opened.set("cistern.volume", "5000 gal")
    opened.set("cistern.start", 0.5)
    opened.save()
    gravity = b'delivery = "gravity"\r\n'
    assert path.read_bytes() == windows.replace(b'"2500 gal"', b'"5000 gal"').replace(
        gravity, gravity + b"start = 0.5\r\n"
    )
    assert opened.revisions()[0].read_bytes() == windows


def test_a_byte_order_mark_is_no_fault(path):
    path.write_bytes(b"\xef\xbb\xbf" + DEMO_TEXT.encode())
    assert open_plan(path).name == "Larkspur Hollow"


# --- candidate changes ---------------------------------------------------------------------------


def test_with_changes_leaves_the_data_alone(path):
    raw = PlanFile(path).raw()
    before = repr(raw)
    sets = {"by_hand.source": "well", "by_hand.flow": "2.5 gal/min", "battery.modules": 8}
    adds = {"pantry": [{"name": "more", "energy": "650000 kcal"}]}
    plan = with_changes(raw, sets, adds, folder=path.parent)
    assert plan.by_hand.source == "well" and plan.battery.modules_n == 8
    assert plan.pantry[-1].energy_kcal == units.parse("650000 kcal", "food_energy")
    assert plan.folder == path.parent
    assert repr(raw) == before
    assert with_changes(raw).name == "Larkspur Hollow"
    assert with_changes(raw, {"garden": None}).garden is None


@pytest.mark.parametrize(
    ("sets", "adds", "piece"),
    [
        ({"no.such": 1}, None, "there is no such part in the plan"),
        ({"name.x": 1}, None, "there is no such part in the plan"),
        ({"fuel.no such.amount": "5 gal"}, None, "there is no such part in the plan"),
        ({"battery.modules": "eight"}, None, "[battery] modules: must be a whole number"),
        (None, {"cistern": [{"volume": "5 gal"}]}, "is not a list"),
        (None, {"pantry": [5]}, "must be a table"),
        (None, {"pantry": [{"name": "x"}]}, "needs either food and mass, or energy"),
        ({"battery.modules": 0, "cistern.volume": "x"}, None, "\n"),
    ],
)
def test_with_changes_that_do_not_hold(path, sets, adds, piece):
    with pytest.raises(PlanError) as caught:
        with_changes(PlanFile(path).raw(), sets, adds)
    assert piece in str(caught.value)


@pytest.mark.skipif(os.name == "nt", reason="modes as on POSIX")
@pytest.mark.parametrize("mode", [0o600, 0o640, 0o644])
def test_revisions_are_as_private_as_the_plan(path, mode):
    path.chmod(mode)
    file = PlanFile(path)
    file.set("name", "Another name")
    file.save()
    (older,) = file.revisions()
    assert older.stat().st_mode & 0o777 == mode
    assert path.stat().st_mode & 0o777 == mode
    assert (file.path.parent / kept.FOLDER).stat().st_mode & 0o077 == 0


def test_saving_one_plan_leaves_the_revisions_of_another(path):
    """Names that begin alike: plan.toml and plan-b.toml in one folder."""
    other = path.with_name("plan-b.toml")
    other.write_bytes(path.read_bytes())
    second = PlanFile(other)
    second.set("name", "Second place")
    second.save("before the second well")
    kept = second.revisions()
    assert len(kept) == 1
    first = PlanFile(path)
    first.set("name", "First place")
    first.save()
    assert second.revisions() == kept and kept[0].exists()
    assert len(first.revisions()) == 1
    assert set(first.revisions()).isdisjoint(kept)


# --- older versions -------------------------------------------------------------------------------


def volumes(path):
    return [PlanFile(one).typed("cistern.volume") for one in PlanFile(path).revisions()]


def saved(path, volume, **how):
    opened = PlanFile(path)
    opened.set("cistern.volume", volume)
    opened.save(**how)


def test_saves_of_a_form_within_half_an_hour_leave_one_older_version(path, monkeypatch):
    class Clock(kept.datetime):
        minute = 0

        @classmethod
        def now(cls):
            return cls(2026, 5, 1, 9 + cls.minute // 60, cls.minute % 60)

    monkeypatch.setattr(kept, "datetime", Clock)
    for minute in range(25):  # a save a minute
        Clock.minute = minute
        saved(path, f"{3000 + minute} gal", is_automatic=True)
    assert volumes(path) == ["2500 gal"]
    Clock.minute = 31
    saved(path, "4000 gal", is_automatic=True)
    assert volumes(path) == ["2500 gal", "3024 gal"]
    saved(path, "5000 gal", note="a larger cistern")
    saved(path, "6000 gal", is_automatic=True)  # a version saved with a note always stays
    assert volumes(path) == ["2500 gal", "3024 gal", "4000 gal", "5000 gal"]
    Clock.minute = 10  # the clock went back: nothing says that it is the same sitting
    saved(path, "7000 gal", is_automatic=True)
    assert volumes(path)[-1] == "6000 gal"


def test_going_back_keeps_the_present_version_first(path):
    opened = PlanFile(path)
    opened.keep_as("before winter")
    saved(path, "5000 gal")
    (named, *_) = PlanFile(path).revisions()
    assert kept.name_of(named) == "before winter"
    path.write_text("broken = [", encoding="utf-8")  # that is when one wants it most
    plan_file.go_back(path, named)
    assert path.read_text(encoding="utf-8") == DEMO_TEXT
    last = PlanFile(path).revisions()[-1]
    assert kept.plain_text(last.read_text(encoding="utf-8")) == "broken = ["
    with pytest.raises(PlanError, match="is not TOML"):
        plan_file.go_back(path, last)
    assert path.read_text(encoding="utf-8") == DEMO_TEXT
