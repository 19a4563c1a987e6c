"""The water formulas: arrays, limits, and what physics demands of them."""

import inspect

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from homestead import reference
from homestead.formulas.water import (
    daily_radiation,
    evapotranspiration,
    hydraulics,
    pressure_tank,
    pumps,
    rain,
    water_use,
    wells,
)

# Each: function, arguments that are sound, which one to spoil, a value beyond its limit.
RANGES = [
    (hydraulics.friction_head_hazen_williams_m, (1e-3, 0.03, 10.0, 150), 0, -1e-3, "flow_m3s"),
    (
        hydraulics.friction_head_hazen_williams_m,
        (1e-3, 0.03, 10.0, 150),
        1,
        0.0,
        "inside_diameter_m",
    ),
    (hydraulics.friction_head_hazen_williams_m, (1e-3, 0.03, 10.0, 150), 3, 0.0, "c"),
    (hydraulics.friction_head_darcy_m, (1e-3, 0.03, 10.0, 1e-6), 2, -1.0, "length_m"),
    (hydraulics.friction_head_darcy_m, (1e-3, 0.03, 10.0, 1e-6), 3, -1.0, "roughness_m"),
    (hydraulics.friction_factor, (1e5, 1e-4), 1, 0.2, "relative_roughness"),
    (hydraulics.total_dynamic_head_m, (10.0, 2e5, 1.0), 1, -1.0, "pressure_pa"),
    (hydraulics.pressure_head_m, (2e5,), 0, -2e5, "pressure_pa"),
    (hydraulics.head_pressure_pa, (20.0,), 0, -20.0, "head_m"),
    (hydraulics.fitting_equivalent_length_m, ("gate valve", "1", 2), 2, -1, "count_n"),
    (pumps.hydraulic_power_w, (1e-3, 50.0), 1, -1.0, "head_m"),
    (pumps.pump_input_w, (1e-3, 50.0, 0.5), 2, 0.0, "efficiency_frac"),
    (pumps.pump_energy_wh, (1.0, 50.0, 0.5), 2, 1.1, "wire_to_water_frac"),
    (pumps.wire_to_water_frac, (0.7, 0.8, 0.9), 1, 0.0, "motor_frac"),
    (pumps.wire_to_water_plausible, (0.5,), 0, 1.5, "wire_to_water_frac"),
    (wells.specific_capacity_m2_s, (1e-3, 10.0), 1, 0.0, "drawdown_m"),
    (wells.well_drawdown_m, (1e-3, 1e-4), 1, 0.0, "specific_capacity_m2_s"),
    (wells.casing_storage_m3, (0.15, 10.0), 1, -1.0, "water_column_m"),
    (wells.well_supply_m3, (1e-4, 0.5, 2.0), 2, -1.0, "hours_h"),
    (pressure_tank.pressure_tank_drawdown_m3, (0.3, 2e5, 2.1e5, 3.5e5), 0, -0.3, "tank_m3"),
    (pressure_tank.pressure_tank_drawdown_m3, (0.3, 2e5, 2.1e5, 3.5e5), 1, 3e5, "precharge_pa"),
    (pressure_tank.pressure_tank_drawdown_m3, (0.3, 2e5, 2.1e5, 3.5e5), 3, 2.05e5, "cut_in_pa"),
    (pressure_tank.pressure_tank_size_m3, (1e-3, 60.0, 2e5, 2.1e5, 3.5e5), 4, 2.1e5, "cut_out_pa"),
    (pressure_tank.pump_minimum_run_s, (500.0,), 0, 0.0, "motor_w"),
    (pressure_tank.pump_starts_per_day_n, (1.0, 0.05), 1, 0.0, "tank_drawdown_m3"),
    (pressure_tank.pump_start_warning_n, (500.0,), 0, -1.0, "motor_w"),
    (water_use.animal_water_m3_day, ("goat", 20.0), 1, 90.0, "air_c"),
    (rain.roof_catch_m3, (100.0, 0.02, 0.8), 2, 1.2, "collected_frac"),
    (rain.first_flush_m3, (100.0,), 0, -1.0, "area_m2"),
    (water_use.fire_reserve_m3, (400.0, 7, 1.5, False), 1, 0, "occupancy_hazard"),
    (water_use.fire_reserve_m3, (400.0, 7, 1.5, False), 2, 2.0, "construction_class"),
    (evapotranspiration.air_pressure_pa, (100.0,), 0, 9000.0, "elevation_m"),
    (evapotranspiration.saturation_vapour_pressure_pa, (20.0,), 0, -274.0, "air_c"),
    (evapotranspiration.wind_at_2m_m_s, (3.0, 10.0), 1, 0.0, "height_m"),
    (daily_radiation.extraterrestrial_radiation_mj_m2_day, (40.0, 100), 0, 91.0, "latitude_deg"),
    (daily_radiation.extraterrestrial_radiation_mj_m2_day, (40.0, 100), 1, 0, "day_of_year"),
    (daily_radiation.net_shortwave_mj_m2_day, (20.0, 0.23), 1, 1.5, "albedo_frac"),
    (evapotranspiration.garden_water_m3_day, (100.0, 5.0, 1.0), 1, -5.0, "eto_mm_day"),
    (
        evapotranspiration.reference_evapotranspiration_hargreaves_mm_day,
        (20.0, 26.0, 14.0, 40.0),
        2,
        30.0,
        "min_c",
    ),
    (
        evapotranspiration.reference_evapotranspiration_mm_day,
        (13.0, 0.0, 17.0, 21.0, 12.0, 2.0, 100.0, 1400.0),
        5,
        -1.0,
        "wind_2m_m_s",
    ),
]


@pytest.mark.parametrize(("function", "sound", "place", "wrong", "name"), RANGES)
@pytest.mark.parametrize("bad", ["beyond", "nan", "text", "in an array"])
def test_wrong_values_are_named(function, sound, place, wrong, name, bad):
    function(*sound)
    spoiled = list(sound)
    spoiled[place] = {
        "beyond": wrong,
        "nan": float("nan"),
        "text": "much",
        "in an array": [sound[place], float("nan")],
    }[bad]
    own = list(inspect.signature(function).parameters)[place]
    with pytest.raises(ValueError, match=name if bad == "beyond" else own) as caught:
        function(*spoiled)
    assert "got" in str(caught.value)


@pytest.mark.parametrize(("function", "sound", "place", "wrong", "name"), RANGES)
def test_arrays_broadcast(function, sound, place, wrong, name):
    one = function(*sound)
    many = function(
        *[value if isinstance(value, str) else np.full((3, 1), value) for value in sound]
    )
    assert np.shape(many) == (3, 1)
    assert np.all(many == one)


flows = st.floats(1e-5, 5e-3)


@given(flow=flows, more=st.floats(1.0, 3.0), size=st.sampled_from(["3/4", "1", "1-1/4", "2"]))
def test_more_flow_never_loses_less_head(flow, more, size):
    bore = hydraulics.pipe_inside_diameter_m("polyethylene", size)
    for loss in (
        lambda q: hydraulics.friction_head_hazen_williams_m(q, bore, 100.0, 145),
        lambda q: hydraulics.friction_head_darcy_m(q, bore, 100.0, 1.5e-6),
    ):
        assert loss(flow * more) >= loss(flow)


def test_still_water_loses_no_head():
    assert hydraulics.friction_head_hazen_williams_m(0.0, 0.03, 100.0, 150) == 0
    assert hydraulics.friction_head_darcy_m(0.0, 0.03, 100.0, 1e-6) == 0


# Hagen-Poiseuille: h = 32 nu L v / (g d2). Derived from theory, exact for laminar flow.
def test_laminar_flow_is_poiseuille():
    bore, speed, length = 0.01, 0.1, 10.0
    flow = speed * np.pi / 4 * bore**2
    expected = 32 * 1e-6 * length * speed / (hydraulics.GRAVITY_M_S2 * bore**2)
    assert hydraulics.friction_head_darcy_m(flow, bore, length, 1e-6) == pytest.approx(expected)


def test_friction_factor_has_no_jump_at_the_joints():
    for joint in (2000.0, 4000.0):
        below, above = hydraulics.friction_factor([joint - 1e-6, joint + 1e-6], 1e-4)
        assert below == pytest.approx(above, rel=1e-6)


@given(head=st.floats(0, 300))
def test_head_and_pressure_undo_each_other(head):
    assert hydraulics.pressure_head_m(hydraulics.head_pressure_pa(head)) == pytest.approx(head)


def test_energy_is_power_over_time():
    # 1 L/s for an hour is 3.6 m3. Derived.
    power = pumps.pump_input_w(1e-3, 50.0, 0.5)
    assert pumps.pump_energy_wh(3.6, 50.0, 0.5) == pytest.approx(power)


def test_every_animal_drinks_and_drinks_no_less_than_nothing():
    kinds = water_use.animal_kinds()
    assert {"steer", "beef cow", "bull", "dairy goat", "laying hen", "sow"} <= set(kinds)
    for kind in kinds:
        drunk = water_use.animal_water_m3_day(kind, np.linspace(-40, 45, 30))
        assert np.all(drunk > 0)
    assert "cow by weight" not in kinds


def test_aliases_point_at_rows():
    items = reference.items("animals")
    assert set(water_use.ANIMAL_ALIASES.values()) <= set(items)


def test_animals_hold_at_the_ends_of_the_table():
    cold, node = water_use.animal_water_m3_day("steer", [-30.0, 40 / 9])
    assert cold == pytest.approx(node)


def test_fixtures_add_up():
    # Two loads at 27 and ten flushes at 1.6 gal are 70 gal = 0.26498 m3. Derived.
    total = water_use.fixtures_water_m3_day({"front-load washer": 2, "low-flush toilet": 10})
    assert total == pytest.approx(0.26498, abs=0.000005)


CURVE_Q = [0.0, 0.2e-3, 0.4e-3, 0.6e-3, 0.8e-3]
CURVE_H = [100.0, 96.0, 84.0, 64.0, 36.0]


def test_pump_settles_where_the_curves_cross():
    static = np.array([20.0, 50.0, 80.0])
    point = pumps.pump_operating_point(CURVE_Q, CURVE_H, static, 0.035, 90.0, 145)
    friction = hydraulics.friction_head_hazen_williams_m(point.flow_m3s, 0.035, 90.0, 145)
    assert point.head_m[1:] == pytest.approx((static + friction)[1:], rel=1e-9)
    assert list(point.runs_off_curve) == [True, False, False]
    assert point.flow_m3s[0] == CURVE_Q[-1]
    assert np.all(np.diff(point.flow_m3s) < 0)


# By hand: a pipe too wide to rub leaves the static head alone, and 74 m lies halfway between 84 m
# at 0.4 L/s and 64 m at 0.6 L/s.
def test_pump_without_friction_by_hand():
    point = pumps.pump_operating_point(CURVE_Q, CURVE_H, 74.0, 0.5, 0.0, 150)
    assert point.flow_m3s == pytest.approx(0.5e-3)
    assert point.head_m == pytest.approx(74.0)


def test_pump_that_cannot_lift_so_high_gives_nothing():
    point = pumps.pump_operating_point(CURVE_Q, CURVE_H, 100.0, 0.035, 90.0, 145)
    assert point.flow_m3s == 0
    assert point.head_m == 100.0


@pytest.mark.parametrize(
    ("flows", "heads"),
    [
        ([0.0], [10.0]),
        ([0.0, 1e-3], [10.0]),
        ([1e-4, 1e-3], [10.0, 5.0]),
        ([0.0, 1e-3], [5.0, 10.0]),
        ([0.0, 1e-3, 1e-3], [10.0, 5.0, 1.0]),
    ],
)
def test_pump_curve_must_fall(flows, heads):
    with pytest.raises(ValueError, match="curve_flow_m3s"):
        pumps.pump_operating_point(flows, heads, 1.0, 0.03, 10.0, 150)


@given(
    tank=st.floats(0.02, 1.0),
    cut_in=st.floats(1e5, 3e5),
    band=st.floats(1e4, 2e5),
    more=st.floats(1.0, 5.0),
)
def test_bigger_tank_or_wider_band_never_gives_less(tank, cut_in, band, more):
    def drawdown(size, width):
        return pressure_tank.pressure_tank_drawdown_m3(size, cut_in - 1e4, cut_in, cut_in + width)

    assert drawdown(tank * more, band) >= drawdown(tank, band)
    assert drawdown(tank, band * more) >= drawdown(tank, band)
    assert 0 < drawdown(tank, band) < tank


def test_tank_size_gives_the_run_it_was_sized_for():
    pressures = (2.6e5, 2.75e5, 4.1e5)
    tank = pressure_tank.pressure_tank_size_m3(4e-4, 90.0, *pressures)
    assert pressure_tank.pressure_tank_drawdown_m3(tank, *pressures) == pytest.approx(4e-4 * 90.0)
    # One tank of drawdown a start, so 1 m3 a day takes 1 / 0.036 starts. Derived.
    starts = pressure_tank.pump_starts_per_day_n(
        1.0, pressure_tank.pressure_tank_drawdown_m3(tank, *pressures)
    )
    assert starts == pytest.approx(1 / 0.036)


def test_unknown_names_list_near_ones():
    with pytest.raises(ValueError, match="dairy goat"):
        water_use.animal_water_m3_day("dairy gaot", 20.0)
    with pytest.raises(ValueError, match="polyethylene"):
        hydraulics.hazen_williams_c("polyethylen")
    with pytest.raises(ValueError, match="size of polyethylene"):
        hydraulics.pipe_inside_diameter_m("polyethylene", "5")
