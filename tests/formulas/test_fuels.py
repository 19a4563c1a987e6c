import numpy as np
import pytest

from homestead import units
from homestead.formulas.warmth import fuels

CONTRACT = ["propane", "natural gas", "fuel oil", "diesel", "gasoline", "pellets", "cordwood"]


@pytest.mark.parametrize("fuel", CONTRACT)
def test_fuel_for_heat_gives_back_the_heat(fuel):
    heat = np.array([0.0, 1e5, 3e7])
    amount = fuels.fuel_for_heat(heat, fuel, 0.8)
    assert fuels.fuel_energy_wh(fuel, amount) * 0.8 == pytest.approx(heat)
    assert fuels.storage_unit(fuel) == ("kg" if fuel == "pellets" else "m^3")


@pytest.mark.parametrize("efficiency", [0.0, 1.01, float("nan"), "good"])
def test_efficiency_must_be_a_share(efficiency):
    with pytest.raises(ValueError, match="efficiency_frac must be from 0.01 to 1"):
        fuels.fuel_for_heat(1000.0, "propane", efficiency)


def test_a_cord_holds_what_its_species_says():
    cord = units.parse("1 cord", "volume")
    mean = fuels.fuel_energy_wh("cordwood", cord)
    low, high = (fuels.cordwood_wh_per_cord(each) for each in ("basswood", "osage-orange"))
    assert low < mean < high


def test_wet_wood_gives_less():
    assert np.all(np.diff(fuels.wood_heat_wh_kg(np.linspace(0.0, 0.7, 20))) < 0)
    with pytest.raises(ValueError, match="moisture_frac"):
        fuels.wood_heat_wh_kg(20.0)


def test_propane_heel_stays_in_the_tank():
    assert fuels.propane_usable_m3(1.0, [0.8, 0.05], 0.1) == pytest.approx([0.7, 0.0])
    with pytest.raises(ValueError, match="fill_frac must be from 0 to 0.85"):
        fuels.propane_usable_m3(1.0, 0.9)


def test_fuller_and_warmer_tanks_never_boil_off_less():
    fill, air = np.meshgrid(np.linspace(0.0, 0.85, 18), np.linspace(-50.0, 30.0, 33))
    boil_off = fuels.propane_vaporisation_w(0.94, 3.0, fill, air)
    assert boil_off.shape == fill.shape
    assert np.all(np.diff(boil_off, axis=0) >= 0)
    assert np.all(np.diff(boil_off, axis=1) >= 0)
    assert np.all(boil_off[air < units.parse("-44 °F", "temperature")] == 0)


@pytest.mark.parametrize(
    ("name", "call", "nearest"),
    [
        ("propan", lambda name: fuels.fuel_energy_wh(name, 1.0), "propane"),
        ("deisel", lambda name: fuels.fuel_for_heat(1.0, name, 0.8), "diesel"),
        ("white oke", fuels.cordwood_wh_per_cord, "white oak"),
    ],
)
def test_an_unknown_name_lists_the_nearest(name, call, nearest):
    with pytest.raises(ValueError, match=f"nearest: .*{nearest}"):
        call(name)
