import math

import pytest
from electrical_plans import house

from homestead.trades.power import study_battery as battery


def by_label(plan):
    return {one.label: one for one in battery.capacities(plan)}


def test_usable_energy_new_today_and_in_ten_years():
    # 4 x 5 kWh, nine tenths usable; 2 % of the label lost a year.
    found = by_label(house(battery={"age_years": 3.0, "depth_of_discharge": 0.9}))
    assert found["new, warm"].usable_wh == pytest.approx(18_000.0)
    assert found["today, warm"].usable_wh == pytest.approx(18_000.0 * 0.94)
    assert found["in ten years, warm"].usable_wh == pytest.approx(18_000.0 * 0.74)
    assert found["in ten years, warm"].age_years == 13.0


def test_cold_takes_its_share():
    # Lithium iron phosphate gives about 80 % at 0 °C (case E23, found, ten points).
    found = by_label(house())
    share = found["today, at freezing"].usable_wh / found["today, warm"].usable_wh
    assert share == pytest.approx(0.80, abs=0.10)


def test_lead_acid_at_freezing_follows_the_published_size_factor():
    # IEEE 485 Table 1 (case E22, from memory): 1.43 at -1.1 °C and 1.35 at 1.7 °C.
    found = by_label(house(battery={"chemistry": "lead-acid"}))
    share = found["new, at freezing"].stored_wh / found["new, warm"].stored_wh
    assert 1 / 1.43 < share < 1 / 1.35


def test_record_low_counts_only_in_a_shed():
    assert len(by_label(house())) == 6
    shed = by_label(house(battery={"place": "unheated shed"}))
    assert len(shed) == 9
    assert shed["new, at the record low"].cell_c == -20.0
    assert shed["new, at the record low"].usable_wh < shed["new, at freezing"].usable_wh


def test_capacity_table_tells_sunless_days():
    found = battery.capacity_table(house(battery={"depth_of_discharge": 0.9}), daily_wh=9000.0)
    assert found.loc["new, warm", "sunless_days"] == pytest.approx(2.0)
    assert (found["nominal_wh"] == 20_000.0).all()
    assert "sunless_days" not in battery.capacity_table(house())


def test_rates_over_the_capacity_of_today():
    # Charger 4 kW x 94 % and 6 kW / 94 % over 20 kWh.
    charge, discharge = battery.rates(house())
    assert charge.power_w == pytest.approx(3760.0)
    assert charge.rate_per_h == pytest.approx(0.188)
    assert discharge.rate_per_h == pytest.approx(6000 / 0.94 / 20_000)
    assert discharge.current_a == pytest.approx(6000 / 0.94 / 51.2)
    assert charge.is_within and discharge.is_within and not charge.is_entered


def test_the_banks_own_limit_holds_the_machines_back():
    _, discharge = battery.rates(house(battery={"discharge": "3 kW"}))
    assert discharge.power_w == 3000.0


def test_dc_arrays_charge_by_the_smaller_of_converter_and_rating():
    plan = house(generator=None)
    small = {"coupling": "dc", "converter": "9 kW"}  # 16 x 400 W = 6.4 kW
    arrays = [plan.raw["array"][0] | small]
    assert battery.charge_power_w(house(generator=None, array=arrays)) == pytest.approx(6400.0)
    arrays = [plan.raw["array"][0] | small | {"converter": "3 kW"}]
    assert battery.charge_power_w(house(generator=None, array=arrays)) == pytest.approx(3000.0)


def test_arrangement_of_the_published_bank():
    # Home Power magazine (case E19, found): 24 V, 675 Ah.
    bank = {"chemistry": "lead-acid", "modules": 12, "module": "1350 Wh", "module_voltage": "6 V"}
    joined = battery.arrangement(house(battery=bank | {"series": 4}))
    assert (joined.bank_v, joined.bank_ah, joined.nominal_wh) == (24.0, 675.0, 16_200.0)
    assert (joined.series_n, joined.parallel_n) == (4, 3)


def test_unknown_voltage_is_told_as_unknown():
    from electrical_plans import HOUSE
    from small_plans import plan_of

    bank = {key: value for key, value in HOUSE["battery"].items() if key != "module_voltage"}
    plan = plan_of(HOUSE | {"battery": bank})
    assert math.isnan(battery.arrangement(plan).bank_v)
    assert math.isnan(battery.rates(plan)[0].current_a)
