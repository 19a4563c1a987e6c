"""The commands that hold a plan against its readings and against another plan."""

import json

import pandas as pd
import pytest

from homestead import cli_year, reference
from homestead.cli import main
from homestead.cli_year import READINGS_HELP
from homestead.plan import PlanFile, demo_path
from homestead.questions.readings import WHAT
from homestead.screen.next_tables import capped

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
    assert "Predicted" in out and "[pump]: wire_to_water = {" in out
    assert "Left out, line 14" in out and "must not be negative" in out
    assert demo_path().read_bytes() == before


def test_what_may_be_read_is_in_the_help():
    listed = READINGS_HELP.rpartition("one of: ")[2].rstrip(".").split(", ")
    assert listed == list(WHAT)


def test_a_correction_of_a_list_names_the_member_and_calls_a_share_an_estimate(capsys, tmp_path):
    (tmp_path / "meter.csv").write_text("date,what,value,unit\n2025-03,house use,700,kWh\n")
    _, out, _ = ran(capsys, "readings", str(tmp_path / "meter.csv"), str(demo_path()))
    assert '[[appliance]] "chest freezer": power = {' in out
    assert '"estimate"' in out and '"measured"' not in out


def test_no_reading_that_can_be_used_is_said(capsys, tmp_path):
    (tmp_path / "meter.csv").write_text("date,what,value,unit\n2025-06-01,sun,99999999,kWh\n")
    code, out, _ = ran(capsys, "readings", str(tmp_path / "meter.csv"), str(demo_path()))
    assert code == 0 and out.startswith("None of the readings could be used.")
    assert "more than all modules at full power" in out
    (tmp_path / "meter.csv").write_text("date;what;value;unit\n2025-06-01;sun;9;kWh\n")
    code, _, said = ran(capsys, "readings", str(tmp_path / "meter.csv"), str(demo_path()))
    assert code == 1 and "semicolons" in said


def test_wood_is_shown_in_cords(capsys, tmp_path):
    (tmp_path / "meter.csv").write_text("date,what,value,unit\n2025-01,wood used,0.31,cord\n")
    _, out, _ = ran(capsys, "readings", str(tmp_path / "meter.csv"), str(demo_path()))
    assert "0.01 cords" in out and "gal" not in out  # an average day of the month


def test_the_demo_is_told_where_no_plan_is(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, out, said = ran(capsys, "days", "--years", "1", "--json")
    assert code == 0 and json.loads(out)
    assert "this is the demo" in said
    assert "this is the demo" not in ran(capsys, "days", str(demo_path()), "--years", "1")[2]


def test_a_gain_at_the_end_of_the_count_is_only_the_least():
    days = pd.DataFrame(
        [[130, 365, 235, 365, 365, 0, 80, 90, 10]],
        columns=[f"{one}_{side}" for one in ("p10", "p50", "least")
                 for side in ("before", "after", "gained")],
    )  # fmt: skip
    shown = [str(one) for one in capped(days).iloc[0]]
    assert shown == ["130", "365+", "235 or more", "365+", "365+", "0", "80", "90", "10"]


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
    assert "to plan on, gained" in out
    code, out, _ = ran(capsys, "compare", str(opened.path), str(opened.path))
    assert code == 0 and "say the same" in out


def test_a_file_of_readings_that_is_not_there_is_told_before_the_simulation(
    capsys, tmp_path, monkeypatch
):
    monkeypatch.setattr(cli_year, "outlook_of", lambda *_: pytest.fail("simulated first"))
    code, _, said = ran(capsys, "readings", str(tmp_path / "none.csv"), str(demo_path()))
    assert code == 1 and "none.csv" in said


def test_what_a_file_says_cannot_steer_the_terminal(capsys, tmp_path):
    csv = tmp_path / "readings.csv"
    csv.write_text(
        "date,what,value,unit\n2026-11-03,\x1b[31mpump,\x1b]0;title\x07 1,kWh\n", encoding="utf-8"
    )
    code, out, said = ran(capsys, "readings", str(csv), str(demo_path()))
    assert code == 0 and "Left out, line 2" in out
    assert not set("\x1b\x07\r") & set(out)
