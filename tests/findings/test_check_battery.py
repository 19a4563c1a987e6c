import pytest
from electrical_plans import HOUSE, about, graver, house

from homestead.trades.power import check_battery as battery


def found(plan, text="", hours=None):
    return about(battery.findings_of(plan, hours), text)


def test_sound_bank_gives_notes_only():
    assert graver(found(house())) == []


# 4 kW charger at 94 % into 20 kWh: 0.188 an hour.
@pytest.mark.parametrize(("most", "severity"), [(0.19, "note"), (0.18, "warning")])
def test_charge_rate_beside_its_limit(most, severity):
    (one,) = found(house(battery={"most_charge_c": most}), "battery charge rate")
    assert one.severity == severity and "0.19 of" in one.said()


# 6 kW over 94 % out of 20 kWh: 0.319 an hour.
@pytest.mark.parametrize(("most", "severity"), [(0.32, "note"), (0.31, "warning")])
def test_discharge_rate_beside_its_limit(most, severity):
    (one,) = found(house(battery={"most_discharge_c": most}), "battery discharge rate")
    assert one.severity == severity and "0.32 of" in one.said()


def test_usual_rate_stands_in_where_none_is_entered():
    (one,) = found(house(battery={"chemistry": "lead-acid"}), "battery discharge rate")
    assert one.severity == "warning" and "since none is entered" in one.said()


# Trade data (case E23, found): no charge of lithium iron phosphate below 0 °C, exactly.
@pytest.mark.parametrize(("low", "severity"), [("0 °C", "note"), ("-1 °C", "warning")])
def test_charge_below_freezing_in_a_shed(low, severity):
    plan = house(
        battery={"place": "unheated shed"}, site={"record_low": low, "record_high": "40 °C"}
    )
    assert found(plan, "battery in the cold")[0].severity == severity


def test_a_heated_room_keeps_the_cold_a_note():
    assert found(house(), "battery in the cold")[0].severity == "note"


def test_share_of_frozen_hours_comes_from_the_weather(shipped_hours):
    plan = house(battery={"place": "unheated shed"})
    (one,) = found(plan, "battery in the cold", shipped_hours["demo"])
    share = (shipped_hours["demo"].column("air_c") < 0.0).mean()
    assert f"about {100 * share:.0f} % of all hours" in one.said()


def test_lead_acid_indoors_needs_air():
    lead = {"chemistry": "lead-acid"}
    assert found(house(battery=lead), "battery place")[0].severity == "warning"
    shed = lead | {"place": "unheated shed"}
    assert found(house(battery=shed), "battery place")[0].severity == "note"
    assert found(house(), "battery place") == []


def test_series_and_parallel_are_told_when_the_voltage_is_known():
    (one,) = found(house(), "battery bank")
    assert "1 in series, 4 in parallel: 51 V, 391 Ah, 20.0 kWh" in one.said()
    assert found(house(battery={"module_voltage": "51.2 V", "series": 4}), "battery bank")
    raw = {"chemistry": "lead-acid", "modules": 16, "module": "1.35 kWh", "module_voltage": "6 V"}
    many = found(house(battery=raw | {"series": 4}), "battery bank")
    assert [one.severity for one in many] == ["note", "warning"]  # 4 strings of lead-acid
    few = found(house(battery=raw | {"series": 8}), "battery bank")
    assert [one.severity for one in few] == ["note"]


def test_no_battery_no_findings():
    assert found(house(battery=None)) == []


# By hand: 20 kWh, of which 0.9 serve and the inverter sleeps below 0.05: 1000 Wh less half of the
# round trip, 0.95 ** 0.5, at 40 W: 24.4 h. Below 0.08, 400 Wh: 9.7 h.
@pytest.mark.parametrize(
    ("below", "generator", "severity", "hours", "words"),
    [
        (0.05, False, "note", 24.37, "starts again"),
        (0.08, False, "warning", 9.75, "Ways out"),
        (0.08, True, "note", 9.75, "the generator or"),
    ],
)
def test_the_reserve_in_hours_of_the_main_inverters_own_draw(
    below, generator, severity, hours, words
):
    changed = {"battery": {"dead_below": below, "age_years": 0.0, "round_trip": 0.95}}
    plan = house(**changed) if generator else house(**changed, generator=None)
    (one,) = found(plan, "battery reserve")
    assert one.severity == severity and words in one.said()
    assert one.values["lasts_h"] == pytest.approx(hours, abs=0.01)


def test_a_reserve_is_no_matter_where_no_sun_follows_the_main_inverter():
    plan = house(array=[HOUSE["array"][0] | {"coupling": "dc"}])
    assert found(plan, "battery reserve") == []
