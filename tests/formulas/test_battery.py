import numpy as np
import pytest

from homestead.formulas.power import battery
from homestead.units import parse

LFP = "lithium iron phosphate"


# Definition: usable energy over daily use, by hand.
def test_autonomy_days_by_hand_and_array():
    assert battery.autonomy_days(24_000.0, 12_000.0) == pytest.approx(2.0)
    np.testing.assert_allclose(battery.autonomy_days([0.0, 6e3], 12e3), [0.0, 0.5])


@pytest.mark.parametrize("daily_wh", [0.0, -1.0, np.nan, "much"])
def test_autonomy_days_refuses_a_daily_use_that_is_not_above_nothing(daily_wh):
    with pytest.raises(ValueError, match="daily_wh must be 0.001 or more Wh; got"):
        battery.autonomy_days(1000.0, daily_wh)


# 1000 Wh x 2 d x 1.19 / (0.5 x 0.85) = 5600 Wh, by hand.
def test_required_capacity_by_hand():
    assert battery.required_capacity_wh(1000.0, 2.0, 0.5, 1.19, 0.85) == pytest.approx(5600.0)


def test_required_capacity_is_undone_by_autonomy():
    nominal = battery.required_capacity_wh(np.array([3e3, 9e3]), 3.0, 0.8)
    np.testing.assert_allclose(battery.autonomy_days(nominal * 0.8, [3e3, 9e3]), 3.0)


def test_required_capacity_refuses_depth_above_one():
    with pytest.raises(ValueError, match="depth_of_discharge_frac must be from 0.01 to 1; got 80"):
        battery.required_capacity_wh(1000.0, 2.0, 80)


def test_lead_acid_factor_is_linear_between_rows():
    # Half way from 1.19 at 10.0 to 1.15 at 12.8 deg C.
    assert battery.lead_acid_temperature_factor(11.4) == pytest.approx(1.17, abs=1e-9)


@pytest.mark.parametrize("electrolyte_c", [-4.0, 49.0, np.nan])
def test_lead_acid_factor_off_the_table_raises(electrolyte_c):
    with pytest.raises(ValueError, match="electrolyte_c must be from -3.9 to 48.9 deg C; got"):
        battery.lead_acid_temperature_factor(electrolyte_c)


def test_capacity_of_lead_acid_is_one_over_its_size_factor():
    cells_c = np.linspace(-3.9, 48.9, 12)[[0, 11]]
    np.testing.assert_allclose(battery.capacity_frac(cells_c, "lead-acid"), [1 / 1.52, 1 / 0.86])
    assert battery.capacity_frac(-20.0, "lead-acid") == pytest.approx(0.5)


def test_capacity_rises_with_temperature():
    cells_c = np.linspace(-20.0, 45.0, 66)
    assert np.all(np.diff(battery.capacity_frac(cells_c, "lead-acid")) > 0.0)
    assert np.all(np.diff(battery.capacity_frac(cells_c, LFP)) >= 0.0)


def test_capacity_refuses_colder_cells_and_unknown_chemistry():
    with pytest.raises(ValueError, match="cell_c must be from -20 to 60 deg C; got -25"):
        battery.capacity_frac(-25.0, LFP)
    with pytest.raises(ValueError, match="chemistry must be 'lithium iron phosphate' or"):
        battery.capacity_frac(20.0, "nickel-iron")


def test_peukert_exponent_of_one_is_plain_division():
    np.testing.assert_allclose(battery.peukert_hours(100.0, 20.0, [5.0, 10.0], 1.0), [20.0, 10.0])


def test_peukert_at_the_rated_current_gives_the_rated_hours():
    assert battery.peukert_hours(225.0, 20.0, 225.0 / 20.0, 1.3) == pytest.approx(20.0)


def test_peukert_refuses_no_current():
    with pytest.raises(ValueError, match="current_a must be from 0.001 to 100000 A; got 0"):
        battery.peukert_hours(100.0, 20.0, 0, 1.2)


def test_charge_of_an_array_of_cells():
    allowed = battery.charge_allowed([-0.1, 0.0, 25.0, 45.0, 45.1], LFP)
    assert allowed.tolist() == [False, True, True, True, False]
    assert battery.charge_allowed(parse("32 °F", "temperature"), LFP) is True
    assert battery.charge_allowed(-10.0, "lead-acid") is True
    assert battery.discharge_allowed(-10.0, LFP) is True
    assert battery.discharge_allowed(-21.0, LFP) is False


def test_charge_refuses_what_is_not_a_temperature():
    with pytest.raises(ValueError, match="cell_c must be from -90 to 150 deg C; got nan"):
        battery.charge_allowed(np.nan, LFP)


# 10 kWh x 0.95**2 x 1.00 x 0.5 = 4512.5 Wh, by hand from the 5 % a year of battery.csv.
def test_usable_energy_by_hand():
    assert battery.usable_wh(10e3, "lead-acid", 2.0, 25.0, 0.5) == pytest.approx(4512.5)


def test_usable_energy_falls_with_age_and_cold():
    ages = battery.usable_wh(28.8e3, LFP, np.array([0.0, 5.0, 10.0]), 25.0, 0.9)
    assert ages[0] == pytest.approx(25_920.0)
    assert np.all(np.diff(ages) < 0.0)
    cold, warm = battery.usable_wh(28.8e3, LFP, 3.0, np.array([0.0, 25.0]), 0.9)
    assert cold / warm == pytest.approx(0.80)


def test_usable_energy_refuses_a_negative_age():
    with pytest.raises(ValueError, match="age_years must be from 0 to 40 years; got -1"):
        battery.usable_wh(1e3, LFP, -1, 25.0, 0.9)


def test_default_depth_leaves_more_in_lead_acid():
    lead, iron = (battery.depth_of_discharge_frac(name) for name in ("lead-acid", LFP))
    assert 0.0 < lead < iron < 1.0


def test_c_rate_is_power_over_capacity():
    assert battery.c_rate_per_h(5000.0, 10_000.0) == 0.5
    assert battery.c_rate_per_h([0.0, 20_000.0], 10_000.0).tolist() == [0.0, 2.0]
    with pytest.raises(ValueError, match="capacity_wh"):
        battery.c_rate_per_h(1.0, 0.0)


def test_usual_c_rates_are_those_of_the_trade():
    assert battery.usual_c_rate_per_h("lead-acid", "charge") <= 0.25
    ways = ("charge", "discharge")
    lithium = [battery.usual_c_rate_per_h("lithium iron phosphate", way) for way in ways]
    assert 0.2 <= lithium[0] <= lithium[1] <= 1.0
    with pytest.raises(ValueError, match="way must be"):
        battery.usual_c_rate_per_h("lead-acid", "both")


# Figures of the trade, from memory: titanate cells may be charged in frost, the others may not.
def test_titanate_takes_charge_in_frost_and_manganese_cobalt_does_not():
    nmc, lto = "lithium nickel manganese cobalt", "lithium titanate"
    assert battery.charge_allowed([-5.0, 10.0], nmc).tolist() == [False, True]
    assert battery.charge_allowed([-25.0, -5.0], lto).tolist() == [True, True]
    assert battery.capacity_frac(-20.0, nmc) < battery.capacity_frac(-20.0, lto)


def test_a_bank_is_as_usual_for_its_chemistry_where_nothing_is_entered():
    from homestead.plan.power import Battery

    bank = {"modules": 1, "module": "10 kWh", "charge": "1 kW", "discharge": "1 kW"}
    for chemistry in battery.CHEMISTRIES:
        usual = Battery.model_validate(bank | {"chemistry": chemistry})
        assert usual.round_trip_frac == battery.round_trip_frac(chemistry)
        assert usual.depth_of_discharge_frac == battery.depth_of_discharge_frac(chemistry)
        assert not {"round_trip_frac", "fade_frac"} & usual.model_fields_set
    own = Battery.model_validate(bank | {"chemistry": "lead-acid", "round_trip": 0.9})
    assert own.round_trip_frac == 0.9


def test_a_converter_in_per_cent_is_refused():
    with pytest.raises(ValueError, match="converter_frac must be from 0.5 to 1; got 94"):
        battery.round_trip_frac(LFP, 94)
