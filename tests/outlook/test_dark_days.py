"""What to switch off to last some dark days: by hand, from stored energy and the clock."""

from datetime import datetime

import numpy as np
import pytest
from small_plans import BATTERY, FORMER, SMALLEST, appliance, plan_of

from homestead.questions.dark_days import last_until
from homestead.simulate.inputs import hours_of
from homestead.simulate.records import COLDEST_C

NOW = datetime(2027, 7, 15, 17, 40)  # a Thursday, warm enough for all of the battery
HOUSE = SMALLEST | {
    "appliance": [
        appliance("light", 40, 24, 1),
        appliance("music", 20, 24, 3),
        appliance("fan", 60, 24, 3),
        appliance("radio", 10, 24, 2),
    ],
    "grid_former": FORMER | {"idle": "0 W"},
    "battery": BATTERY,
}


def stored_wh(plan, charge, cells_frac=1.0):
    """What the house gets out of the battery: usable share, cells, inverter.

    Cool cells give a share of what they hold and keep the last of it back.
    """
    fixed = hours_of(plan, 1).fixed
    usable = fixed.battery_wh * fixed.discharge_depth_frac * (charge - (1.0 - cells_frac))
    return usable * fixed.discharge_efficiency_frac * fixed.inverter_efficiency_frac


@pytest.mark.parametrize("charge", [0.65, 0.7, 0.8, 0.9])
def test_comfort_goes_first_then_what_is_useful_and_no_hour_too_soon(charge):
    """Two days ask for 48 h of each load; what is stored over the rest says from when."""
    plan = plan_of(HOUSE)
    found = last_until(plan, charge, 2, NOW)
    left = stored_wh(plan, charge) - 48 * 40.0
    wanted = {}
    for name, watts in (("radio", 10.0), ("music", 20.0), ("fan", 60.0)):
        hours = min(int(left // watts), 48)
        left -= hours * watts
        if hours < 48:
            wanted[name] = hours
            left = 0.0  # those given up before it are off from the first hour
    since = {cut.name: (cut.since - found.begins).total_seconds() / 3600 for cut in found.cuts}
    # The cells hold a little more or less with the warmth of the room: an hour either way.
    assert since == pytest.approx(wanted, abs=1.0)
    assert [cut.name for cut in found.cuts] == [n for n in ("fan", "music", "radio") if n in wanted]
    assert found.lasts_until == datetime(2027, 7, 17, 17)
    for cut, watts in zip(found.cuts, (60.0, 20.0, 10.0), strict=False):
        assert cut.spared_wh == pytest.approx(watts * (48 - since[cut.name]))


def test_the_hours_show_the_charge_and_what_is_off():
    found = last_until(plan_of(HOUSE), "60 %", 2, NOW)
    hourly = found.hourly
    assert len(hourly) == 48 and hourly.index[0] == datetime(2027, 7, 15, 17)
    assert (np.diff(hourly["charge_frac"]) <= 1e-9).all()
    assert (hourly["charge_frac"] >= hourly["charge_usual_frac"] - 1e-9).all()
    fan_off = hourly["off"].str.contains("fan")
    assert hourly["load_w"][fan_off].max() <= 70.0
    assert found.dark_at is not None
    assert hourly["charge_usual_frac"].loc[found.dark_at :].max() <= 0.05


def test_until_a_day_of_the_week_is_to_its_end():
    found = last_until(plan_of(HOUSE), "90 %", "Sunday", NOW)
    assert found.ends == datetime(2027, 7, 19, 0)
    assert last_until(plan_of(HOUSE), "90 %", "thursday", NOW).ends == datetime(2027, 7, 16, 0)


def test_nothing_is_cut_where_the_battery_lasts():
    found = last_until(plan_of(HOUSE), 1.0, 1, NOW)
    assert found.cuts == () and found.dark_at is None
    assert "nothing" in repr(found)


def test_what_no_cut_can_save_is_told_and_essentials_are_named_as_such():
    plan = plan_of(HOUSE)
    found = last_until(plan, "20 %", 6, NOW)
    # All but the light is off at once, and the light from when 20 % of the bank is used.
    cuts = {cut.name: cut for cut in found.cuts}
    assert all(cuts[name].since.hour == 17 for name in ("fan", "music", "radio"))
    assert cuts["light"].is_essential
    by_c = hours_of(plan, 1).capacity_by_c
    coolest, warmest = (  # of the room that the battery stands in, in July
        int(stored_wh(plan, 0.2, by_c[cell_c - COLDEST_C]) // 40) for cell_c in (15, 25)
    )
    lasted_h = (cuts["light"].since - found.begins).total_seconds() / 3600
    assert coolest <= lasted_h <= warmest + 1


@pytest.mark.parametrize(
    ("charge", "until"), [("140 %", 2), ("60 %", "someday"), ("60 %", 0), ("60 %", 99)]
)
def test_what_cannot_be_asked_is_refused(charge, until):
    with pytest.raises(ValueError, match=r"\w") as caught:
        last_until(plan_of(HOUSE), charge, until, NOW)
    assert len(str(caught.value)) <= 200


def test_a_plan_without_a_battery_is_told_so():
    with pytest.raises(ValueError, match="battery"):
        last_until(plan_of(SMALLEST), "60 %", 2, NOW)
