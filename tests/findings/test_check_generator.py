import pytest
from electrical_plans import about, graver, house

from homestead.trades.power import check_generator as generator
from homestead.trades.power.study_loads import loads_of


def found(plan, text="", hours=None):
    return about(generator.findings_of(plan, loads_of(plan), hours), text)


def test_sound_set_gives_notes_only():
    assert graver(found(house())) == []


# Manual of a standby set (case E46, found): 1 % for each 10 °F above 77 °F. Essential 320 W; a set
# of 330 W has 330 x (1 - 0.027) = 321 W at 104 °F, one of 328 W has 319 W.
@pytest.mark.parametrize(("rated", "severity"), [("330 W", "note"), ("328 W", "warning")])
def test_derated_power_beside_the_essential_load(rated, severity):
    plan = house(generator={"rated": rated})
    (one,) = [one for one in found(plan) if one.about == "generator"]
    assert one.severity == severity and "elevation isn't counted here" in one.said()


def test_height_counts_when_the_weather_is_known(shipped_hours):
    (one,) = [one for one in found(house(), "", shipped_hours["demo"]) if one.about == "generator"]
    least_w = shipped_hours["demo"].column("generator_w").min()
    assert f"it gives {least_w / 1000:.1f} kW at your elevation" in one.said()


@pytest.mark.parametrize(("rated", "severity"), [("4.5 kW", "note"), ("4.4 kW", "warning")])
def test_charger_and_essential_loads_beside_the_generator(rated, severity):
    # 4,000 + 320 W; 4.5 kW gives 4,378 W at 104 °F, 4.4 kW gives 4,281 W.
    (one,) = found(house(generator={"rated": rated}), "generator and charger")
    assert one.severity == severity


def test_no_charger_nothing_to_compare():
    plan = house(grid_former={"charger": "0 W"})
    assert found(plan, "generator and charger") == []


@pytest.mark.parametrize(("amount", "severity"), [("800 L", "note"), ("100 L", "warning")])
def test_fuel_beside_a_day_at_full_load(amount, severity):
    plan = house(fuel=[{"name": "tank", "fuel": "propane", "amount": amount, "tank": "1900 L"}])
    assert found(plan, "generator fuel")[0].severity == severity


def test_fumes_and_service_are_always_told():
    fumes, service = found(house(), "generator fumes"), found(house(), "generator service")
    assert "20 ft" in fumes[0].said() and "carbon monoxide" in fumes[0].said()
    assert "100 h" in service[0].said()


def test_no_generator_no_findings():
    assert found(house(generator=None)) == []
