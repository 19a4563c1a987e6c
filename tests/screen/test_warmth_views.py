"""Warmth for readers: figures by hand, tables that add up, pictures equal to their tables."""

import inspect
import math

import numpy as np
import pandas as pd
import pytest

from homestead import reference, units
from homestead.outlook import run
from homestead.plan import open_plan
from homestead.plan.file import demo_path
from homestead.screen import series, wording
from homestead.simulate import constants, fuel_stores, heaters
from homestead.simulate.trace import trace_of
from homestead.trades.warmth import figures as drawn
from homestead.trades.warmth import tables as warmth_tables
from homestead.trades.warmth import workings as warmth_workings
from tests import pictures as all_drawn

PHONE_PX, PX_PER_IN = 358, 96  # a phone of 390 px less the page's edges
PLANS = {name: demo_path().parent.parent / name / "plan.toml" for name in ("cabin", "cold-coast")}
NAMES = [draw.__name__ for draw in all_drawn.WARMTH]
US_ONLY = ("gal", "(ft", "(lb)", "°F", "Btu", "cords")
METRIC_ONLY = ("(L/day)", "(L)", "(m²)", "(kg)", "°C", "(W/K)")


@pytest.fixture(scope="module")
def outlook():
    return run(open_plan(demo_path()), years_n=2)


@pytest.fixture(scope="module")
def others():
    return [run(open_plan(path), years_n=1) for path in PLANS.values()]


@pytest.fixture(scope="module")
def bare(outlook):
    """The demo with nothing that burns, warms water or cools."""
    without = dict.fromkeys(("hot_water", "cooling", "cooking", "generator"))
    plan = outlook.plan.model_copy(update={"heaters": (), "fuels": (), **without})
    return run(plan, years_n=1)


@pytest.fixture(scope="module")
def pictures(outlook):
    return {draw.__name__: draw(outlook) for draw in all_drawn.WARMTH}


def _made(name, outlook, system):
    table = getattr(warmth_tables, name)
    given = {"plan": outlook.plan, "outlook": outlook, "units": system}
    return table(*[given[one] for one in inspect.signature(table).parameters])


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("name", warmth_tables.__all__)
def test_every_table_is_a_named_frame_without_gaps(outlook, others, bare, name, system):
    for one in (outlook, *others, bare):
        table = _made(name, one, system)
        assert isinstance(table, pd.DataFrame)
        assert table.index.name
        assert not table.isna().any(axis=None)
        assert "nan" not in table.to_string()


@pytest.mark.parametrize("name", warmth_tables.__all__)
def test_no_unit_of_the_other_system_is_shown(outlook, name):
    text = {one: _made(name, outlook, one).to_string() for one in ("us", "metric")}
    assert not [one for one in METRIC_ONLY if one in text["us"]]
    assert not [one for one in US_ONLY if one in text["metric"]]


@pytest.mark.parametrize("name", warmth_tables.__all__)
def test_an_unknown_unit_system_is_told(outlook, name):
    with pytest.raises(ValueError, match="imperial"):
        _made(name, outlook, "imperial")


def test_the_shell_by_hand(outlook):
    loss = warmth_tables.shell(outlook.plan)["Loss (Btu/h·°F)"]
    # Larkspur Hollow (invented): area over R, 1650/14 + 2050/34 + 2050/19 + 120/3 + 130/3 + 60/5.
    assert loss["walls"] == 118
    assert loss["floor over crawl space"] == 108
    # Leaks by the trade's 0.018 Btu/ft³·°F (ASHRAE, from memory): 0.018 * 2050 * 8 * 0.4 = 118.1.
    assert loss["air leaks"] == 118
    # 381.4 + 118.1 = 499.5; rounded to whole units, and 0.018 has two digits.
    assert loss["whole house"] == pytest.approx(499.5, abs=0.6)


def test_the_design_day_by_hand(outlook):
    table = warmth_tables.design_day(outlook)["Amount"]
    design_c = float(np.quantile(outlook.hours.column("air_c"), 0.01))
    assert table["design temperature"] == units.show(design_c, "temperature")
    # The loss above, 499.5 Btu/h·°F, from 68 °F down to the design temperature; shown to 10 W.
    fahrenheit = float(units.convert(design_c, "temperature", "us"))
    loss_w = units.convert_unit(499.5 * (68 - fahrenheit), "Btu/h", "W")
    shown_kw = float(table["house loses then"].removesuffix(" kW"))
    assert shown_kw == pytest.approx(loss_w / 1000, abs=0.02)
    heaters = warmth_tables.heaters_on_design_day(outlook)
    # The stove's 32,000 Btu/h over that loss.
    share = units.convert_unit(32000, "Btu/h", "W") / loss_w
    assert heaters.loc["wood stove", "Of the loss, alone"] == f"{share * 100:.0f} %"
    assert heaters["Needs electricity"].to_list() == ["no", "yes"]


def test_need_and_heaters_are_those_of_the_year(outlook):
    need = warmth_tables.need_two_ways(outlook)
    total = outlook.year.totals["heat_kwh"]
    assert need.loc["year", "Hour by hour (kWh)"] == pytest.approx(total, abs=0.5)
    for name in ("Hour by hour (kWh)", "By degree-days (kWh)"):
        # Twelve months and the year are each rounded to 1 kWh.
        assert need[name].iloc[:-1].sum() == pytest.approx(need.loc["year", name], abs=6.5)
    heaters = warmth_tables.heaters_by_month(outlook)
    heat = heaters.filter(regex=r"heat \(kWh\)").loc["year"]
    assert heat.sum() == pytest.approx(total, abs=len(heat) * 0.5)


def test_degree_days_times_loss_by_hand(outlook):
    row = warmth_tables.need_two_ways(outlook).loc["Jan"]
    # 499.5 Btu/h·°F x 24 h x degree-days in °F; the days are shown to 1 of several hundred.
    btu = 499.5 * 24 * row["Degree-days below that (°F·day)"]
    by_hand = units.convert_unit(btu, "Btu", "kWh")
    assert row["By degree-days (kWh)"] == pytest.approx(by_hand, rel=0.003)


def test_the_bridge_adds_up_and_each_step_is_explained(outlook, others):
    for one in (outlook, *others):
        table = warmth_tables.bridge(one)
        steps = table["kWh a year"]
        assert steps.iloc[:-1].sum() == pytest.approx(steps.iloc[-1], abs=0.5 * len(steps))
        assert all(len(text.split()) > 8 for text in table["Why"])


def test_the_ledger_closes_each_month(outlook):
    table = warmth_tables.fuel_ledger(outlook)
    delivered, used, left = (
        table[f"propane tank: {word} (gal)"] for word in ("delivered", "used", "left")
    )
    # The demo: 120 gal in January, 210 gal on the first of February and of August.
    assert delivered[delivered > 0].to_dict() == {"Feb": 210, "Aug": 210}
    level = 120.0 + (delivered - used).cumsum()
    # Each figure is rounded to a gallon.
    assert np.abs(level - left).max() <= 0.5 * 12
    # Low below 0.75 of 120 gal.
    low = table["Low at the month's end"]
    assert low[left < 89.5].str.contains("propane tank").all() and (left < 89.5).any()
    assert not low[left > 90.5].str.contains("propane tank").any()


def test_wood_as_printed_in_its_table(outlook):
    # M. Kuhns and T. Schmidt, "Wood Heating", Table 1, million Btu for an air-dry cord, as it
    # stands in data/reference: white ash 24.2, white oak 29.1.
    table = warmth_tables.cordwood(outlook.plan)
    assert table["Air-dry (million Btu/cord)"].to_dict() == {"white ash": 24.2, "white oak": 29.1}
    assert (table["Moisture"] == "20 %").all()


def test_heat_from_propane_costs_by_hand(outlook):
    # $2.60 a gallon; 91,452 Btu in it (U.S. EIA, from memory); furnace 92 %, shown to 0.001.
    kwh = units.convert_unit(91452, "Btu", "kWh")
    shown = float(warmth_tables.cost_of_heat(outlook.plan).loc["propane furnace"].iloc[-1])
    assert shown == pytest.approx(2.60 / (kwh * 0.92), abs=0.0005)


def test_propane_in_the_cold(outlook):
    table = warmth_tables.propane_tanks(outlook)["propane tank"]
    assert table["full, 80 % of it"] == "400 gal"
    assert table["of that can be used"] == "114 gal"  # 120 gal less 5 %
    covers = table["boil-off at the record low covers"]
    low, asked = (float(table.iloc[number].removesuffix(" kW")) for number in (5, 8))
    assert covers.endswith("of that: flames may sink or go out") == (low < asked)
    assert warmth_tables.propane_tanks(outlook, "metric").shape == (10, 1)


def test_cooling_down_by_hand(outlook):
    # Newton's law of cooling with 165 kJ/m²·K (ISO 13790, class medium, from memory), 2050 ft²:
    # t = C / UA ln((68 + 8) / (50 + 8)) for rooms, ln((68 + 8) / (32 + 8)) for pipes.
    kept_wh_k = units.convert_unit(165_000 * units.parse("2050 ft²", "area"), "J", "Wh")
    tau_h = kept_wh_k / units.convert_unit(499.5, "Btu/h/delta_degF", "W/K")
    table = warmth_tables.cool_down_times(outlook).iloc[:, 1]
    rooms, pipes = (float(text.removesuffix(" h")) for text in table)
    assert rooms == pytest.approx(tau_h * math.log(76 / 58), abs=0.06)
    assert pipes == pytest.approx(tau_h * math.log(76 / 40), abs=0.6)


def test_words_on_cooling_tell_the_record_low_beside_the_spell(outlook):
    snug = outlook.plan.model_copy(
        update={
            "envelope": tuple(
                part.model_copy(update={"r_m2k_w": 4 * part.r_m2k_w})
                for part in outlook.plan.envelope
            )
        }
    )
    outlook = run(snug, years_n=1)
    table = warmth_tables.cool_down_times(outlook)
    words = repr(warmth_tables.cool_down_words(outlook))
    # Invented, four times the demo's insulation: rooms that hold 32 °F in the coldest spell, and
    # do not at the record low of -8 °F.
    assert table.iloc[1, 0] == "not within a week, in this spell"
    assert "the rooms do not fall to 32 °F within a week of this weather" in words
    assert f"at the record low of -8 °F they do after about {table.iloc[1, 1]}" in words
    assert "crawl space sooner" in words


def test_the_limit_stands_beside_the_advice(outlook):
    # World Health Organization, Housing and health guidelines, 2018: 18 °C, earlier 20 °C.
    words = repr(warmth_tables.limit_words(outlook.plan))
    assert words.startswith("50 °F is this plan's limit")
    assert "64 °F and more" in words and "68 °F" in words
    assert "18 °C and more" in repr(warmth_tables.limit_words(outlook.plan, "metric"))


def test_a_heater_that_never_ran_is_told(outlook):
    stove, furnace = outlook.plan.heaters
    stove = stove.model_copy(update={"output_w": 30_000.0, "tended": (0, 24)})
    strong = outlook.plan.model_copy(update={"heaters": (stove, furnace)})
    ran = warmth_tables.heaters_on_design_day(run(strong, years_n=1))["In an average year"]
    assert ran["propane furnace"] == "not needed" and ran["wood stove"].endswith(" kWh")


def test_heaters_take_fuel_in_their_order(outlook):
    stove, furnace = outlook.plan.heaters
    from_h, hours_n = heaters.tended(outlook.plan, stove)
    assert 3 <= hours_n <= 20 and from_h + hours_n <= 24
    heat_w = np.zeros(24)
    heat_w[from_h : from_h + 3] = 0.0, 0.5 * stove.output_w, stove.output_w + 920.0
    fired = warmth_tables.fired_w(outlook.plan, heat_w, np.zeros(24))
    in_its_hours = slice(from_h, from_h + 3)
    assert fired["woodshed"].to_numpy()[in_its_hours] == pytest.approx(
        np.array([0.0, 0.5, 1.0]) * stove.output_w / stove.efficiency_frac
    )
    # At 92 %.
    assert fired["propane tank"].to_numpy()[in_its_hours] == pytest.approx([0.0, 0.0, 1000.0])


def test_a_stove_that_nobody_tends_leaves_the_rest_to_the_next_heater(outlook):
    stove, furnace = outlook.plan.heaters
    alone_h = heaters.tended(outlook.plan, stove)[0] - 1
    heat_w = np.zeros(24)
    heat_w[alone_h] = stove.output_w
    fired = warmth_tables.fired_w(outlook.plan, heat_w, np.zeros(24)).loc[alone_h]
    by_stove_w = stove.output_w * stove.untended_frac
    assert by_stove_w < stove.output_w
    assert fired["woodshed"] == pytest.approx(by_stove_w / stove.efficiency_frac)
    assert fired["propane tank"] == pytest.approx(
        (stove.output_w - by_stove_w) / furnace.efficiency_frac
    )


# The hours of the simulation know what each fuel lost; sharing out their heat must find the same.
def test_fuel_shared_out_is_the_fuel_that_the_simulation_burned(outlook):
    plan, hours = outlook.plan, outlook.hours
    trace = trace_of(hours, 330, 14)
    air_c = hours.column("air_c")[330 * 24 : 344 * 24]
    fired = warmth_tables.fired_w(plan, trace.flows["heat_w"], air_c)
    wood = [fuel.name for fuel in plan.fuels].index("woodshed")
    burned_wh = -np.diff(trace.fuel_wh[:, wood])
    assert burned_wh.max() > 0
    np.testing.assert_allclose(fired["woodshed"].to_numpy()[1:], burned_wh, atol=0.01)


def test_electricity_is_a_store_of_its_own(outlook):
    amount, unit = warmth_tables.fired_amounts(outlook.plan, "electricity", 2500.0)
    assert (float(amount), unit) == (2.5, "kWh")


@pytest.mark.parametrize(
    ("hours_h", "text"),
    [(math.inf, "never"), (9.04, "9.0 h"), (12.4, "12 h"), (200.0, "over 168 h")],
)
def test_hours_in_words(hours_h, text):
    assert warmth_tables.duration(hours_h) == text


@pytest.mark.parametrize("name", NAMES)
def test_description_is_one_sentence_with_numbers(pictures, others, bare, name):
    for one in (pictures[name], *(getattr(drawn, name)(other, "metric") for other in others)):
        assert one.alt.endswith(".") and ". " not in one.alt
        assert any(sign.isdigit() for sign in one.alt)
        assert "nan" not in one.alt
    assert getattr(drawn, name)(bare).alt.endswith(".")


@pytest.mark.parametrize("name", NAMES)
def test_same_numbers_same_bytes(pictures, outlook, name):
    assert pictures[name].svg() == pictures[name].svg() == getattr(drawn, name)(outlook).svg()


@pytest.mark.parametrize("name", NAMES)
def test_type_on_a_phone_and_edges(pictures, others, name):
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.text import Text

    for one in (pictures[name], *(getattr(drawn, name)(other, "metric") for other in others)):
        figure = one.figure
        width, height = figure.get_size_inches()
        sizes = [text.get_fontsize() for text in figure.findobj(Text) if text.get_text().strip()]
        assert min(sizes) * PHONE_PX / PX_PER_IN / width >= 10.0
        canvas = FigureCanvasAgg(figure)
        canvas.draw()
        box = figure.get_tightbbox(canvas.get_renderer())
        assert box.x0 >= 0 and box.y0 >= 0 and box.x1 <= width and box.y1 <= height


def test_drawn_need_is_in_the_table(pictures):
    picture = pictures["need_two_ways"]
    for bars, name in zip(picture.figure.axes[0].containers, picture.table, strict=False):
        assert np.array_equal([bar.get_height() for bar in bars], picture.table[name].iloc[:-1])


def test_drawn_levels_are_those_of_the_ledger(pictures):
    picture = pictures["fuel_ledger"]
    level = picture.figure.axes[1].get_lines()[0].get_ydata().reshape(12, 3)
    left = picture.table["propane tank: left (gal)"]
    assert np.abs(level[:, 2] - left).max() <= 0.5
    assert level[1:, 0] == pytest.approx(level[:-1, 2])


def test_drawn_cooling_is_in_the_table(pictures):
    picture = pictures["cool_down"]
    line = picture.figure.axes[0].get_lines()[0]
    rooms = dict(zip(line.get_xdata(), line.get_ydata(), strict=True))
    for hour, shown in picture.table["Rooms (°F)"].items():
        assert rooms[hour] == pytest.approx(shown, abs=0.5)


def test_fuel_of_the_coldest_week_carries_its_heat(outlook, pictures):
    week = series.coldest_week(outlook).hourly
    table = pictures["cold_snap"].table
    cords = table["woodshed (cords/day)"].sum()
    store, stove = outlook.plan.fuels[0], outlook.plan.heaters[0]
    in_wood_wh = units.convert_unit(cords, "cord", "m^3") * fuel_stores.fuel_wh_per_unit(store)
    # The stove goes first, up to its output, less while nobody tends it; seven days are each
    # rounded to 0.001 cord.
    rounding_wh = in_wood_wh / cords * 7 * 0.0005 * stove.efficiency_frac
    from_h, hours_n = heaters.tended(outlook.plan, stove)
    is_tended = (np.arange(len(week)) - from_h) % 24 < hours_n
    limit_w = np.where(is_tended, 1.0, stove.untended_frac) * stove.output_w
    given_wh = np.minimum(week["heat_w"], limit_w).sum()
    assert in_wood_wh * stove.efficiency_frac == pytest.approx(given_wh, abs=rounding_wh)
    fired = warmth_tables.fired_w(outlook.plan, week["heat_w"], week["outside_c"])
    assert fired["woodshed"].sum() * stove.efficiency_frac == pytest.approx(given_wh)
    rest_wh = (week["heat_w"].sum() - given_wh) / outlook.plan.heaters[1].efficiency_frac
    assert fired["propane tank"].sum() == pytest.approx(rest_wh)


def test_every_working_has_formula_inputs_and_a_known_source(outlook, others, bare):
    for one in (outlook, *others, bare):
        steps = warmth_workings.steps_of(one)
        assert len({step.figure for step in steps}) == len(steps) > 8
        for step in steps:
            assert math.isfinite(step.value) and step.formula and step.inputs
            assert step.source == "project" or step.source in reference.sources()
    found = {step.figure: step for step in warmth_workings.steps_of(outlook)}
    loss_w_k = found["loss of the whole house"].value
    assert loss_w_k == pytest.approx(constants.heat_loss_w_k(outlook.plan))
    for system, foreign in (("us", METRIC_ONLY[2:4]), ("metric", US_ONLY[:4])):
        text = warmth_workings.worked(outlook, system)._repr_html_()
        assert text.startswith("<details>")
        assert not [one for one in foreign if one in text]


def test_warmth_in_words(outlook):
    words = wording.warmth_means(outlook, "us")
    assert "propane tank by the end of January" in words
    hours_h = warmth_tables.study_of(outlook).cool_down.hours_to_limit
    assert f"50 °F after about {warmth_tables.duration(hours_h)}" in words
