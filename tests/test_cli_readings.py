"""The commands that hold a plan against its readings and against another plan."""

import pytest

from homestead import reference
from homestead.cli import main
from homestead.plan import PlanFile, demo_path

CSV = reference.shipped("data", "demo", "readings.csv")


def ran(capsys, *arguments):
    with pytest.raises(SystemExit) as stop:
        main(list(arguments))
    said = capsys.readouterr()
    return stop.value.code, said.out, said.err


def test_readings_offer_and_change_nothing(capsys):
    before = demo_path().read_bytes()
    code, out, _ = ran(capsys, "readings", str(CSV), str(demo_path()))
    assert code == 0
    assert "Predicted" in out and "pump.wire_to_water = {" in out
    assert "Left out, line 14" in out and "must not be negative" in out
    assert demo_path().read_bytes() == before


def test_readings_that_are_not_there(capsys, tmp_path):
    code, _, said = ran(capsys, "readings", str(tmp_path / "none.csv"), str(demo_path()))
    assert code == 1
    assert "none.csv" in said and "Traceback" not in said


def test_two_plans_are_compared(capsys, tmp_path):
    (tmp_path / "plan.toml").write_bytes(demo_path().read_bytes())
    opened = PlanFile(tmp_path / "plan.toml")
    opened.set("site.years", 1)
    opened.save()
    first = (tmp_path / "first.toml").write_bytes((tmp_path / "plan.toml").read_bytes())
    assert first
    opened.set("battery.modules", 7)
    opened.save()
    code, out, _ = ran(capsys, "compare", str(tmp_path / "first.toml"), str(opened.path))
    assert code == 0
    assert "changed: battery.modules: 6 -> 7" in out
    assert "9 of 10, gained" in out
    code, out, _ = ran(capsys, "compare", str(opened.path), str(opened.path))
    assert code == 0 and "say the same" in out
