"""Water for readers: tables in both unit systems, figures with their numbers, sums that close."""

import dataclasses

import numpy as np
import pandas as pd
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text

from homestead import reference
from homestead.outlook import run
from homestead.plan import open_plan, with_changes
from homestead.reference import shipped
from homestead.screen import figures
from homestead.screen.readable import head
from homestead.screen.workings import value_text
from homestead.trades.water import study_steps as water_steps
from homestead.trades.water import tables as water_tables
from homestead.units import parse
from tests import pictures as all_drawn

TABLES = ("in_and_out", "well", "head_by_part", "pump", "pressure_tank", "two_hours", "by_hand",
          "cistern", "rain", "storage", "demand", "household", "garden")  # fmt: skip
PLANS = ("demo", "cabin", "cold-coast")
PICTURES = [draw.__name__ for draw in all_drawn.WATER]
PHONE_PX, PX_PER_IN = 358, 96


@pytest.fixture(scope="module")
def studies():
    plans = {name: open_plan(shipped("data", name, "plan.toml")) for name in PLANS}
    return {name: water_tables.study_of(run(plan, years_n=1)) for name, plan in plans.items()}


@pytest.fixture(scope="module")
def demo(studies):
    return studies["demo"]


def _with(plan, **sets):
    changed = with_changes(
        plan.raw, {name.replace("__", "."): one for name, one in sets.items()}, {},
        folder=plan.folder,
    )  # fmt: skip
    return water_tables.study_of(run(changed, years_n=1))


@pytest.mark.parametrize("units_name", ["us", "metric"])
@pytest.mark.parametrize("name", TABLES)
@pytest.mark.parametrize("plan", PLANS)
def test_every_table_in_both_unit_systems(studies, plan, name, units_name):
    table = getattr(water_tables, name)(studies[plan], units_name)
    assert isinstance(table, pd.DataFrame) and table.index.name
    assert not table.isna().any(axis=None)
    text = f"{' '.join(map(str, table.columns))} {table.to_string()}"
    foreign = (
        ("(L", " L", "kPa", "(m)", "(mm") if units_name == "us" else ("gal", "psi", " ft", "°F")
    )
    assert not [one for one in foreign if one in text]


def test_a_wrong_unit_system_is_told(demo):
    for name in ("in_and_out", "well", "storage"):
        with pytest.raises(ValueError, match="imperial"):
            getattr(water_tables, name)(demo, "imperial")


@pytest.mark.parametrize("plan", PLANS)
def test_in_is_out_and_into_store(studies, plan):
    # Eight whole or tenth numbers a row, each off by half its last digit at most.
    table = water_tables.in_and_out(studies[plan], "metric")
    inward, outward = (
        sum(
            table[head(one, "volume", "metric", "day")]
            for one in names
            if head(one, "volume", "metric", "day") in table
        )
        for names in (
            ("From the well", "Rain caught", "From the spring"),
            ("People", "Animals", "Garden", "Runs off", "Into store"),
        )
    )
    assert (inward - outward).abs().max() <= 7 * 0.5
    assert inward.min() > 0


def test_the_words_tell_when_the_sums_do_not_close(demo):
    assert "don't agree" not in repr(water_tables.in_words(demo))
    monthly = demo.monthly.assign(residual_m3=0.5)
    assert "don't agree" in repr(water_tables.in_words(dataclasses.replace(demo, monthly=monthly)))


def test_two_hours_in_words_follow_the_study(demo):
    assert demo.peak.is_met
    told = water_tables.busiest_words(demo)
    assert told.startswith(
        "In two hours all your water sources together, any cistern full, could give"
    )
    assert "not counting the garden" in told and "whether you can drink it" in told
    less = dataclasses.replace(demo.peak, is_met=False, available_m3=parse("100 gal", "volume"))
    words = water_tables.busiest_words(dataclasses.replace(demo, peak=less))
    assert "could give 100 gal" in words


def test_the_well_and_the_cistern_promise_nothing(demo):
    rows = water_tables.well(demo)["Amount"]
    assert rows["steady pumping runs it dry after"] == (
        "not at 4.5 gal/min, if the tested yield holds; dry seasons and age lower it"
    )
    assert water_tables.cistern(demo).loc["turnover", "Amount"].endswith("a reserve just sits")


def test_the_line_of_the_well_ends_at_the_tested_yield(demo):
    picture = figures.pump_and_well(demo)
    axis = picture.figure.axes[0]
    line = next(one for one in axis.get_lines() if one.get_label() == "lift, pipe and pressure")
    assert max(line.get_xdata()) == pytest.approx(4.5)  # gal/min, the tested yield
    assert any("not tested" in one.get_text() for one in axis.texts)
    assert "the pump can run dry" in picture.alt


def test_a_hand_pump_on_a_good_well_has_no_end(studies):
    cabin = studies["cabin"]
    assert set(water_tables.storage(cabin)["Usual use, power out (days)"]) == {"no end"}
    assert "no end at usual use with the power out" in figures.water_storage_days(cabin).alt
    assert water_tables.by_hand(cabin).loc["drawn by hand from", "Amount"] == "well"


def test_without_a_pump_the_figure_says_so(studies):
    picture = figures.pump_and_well(studies["cabin"])
    assert "no well pump" in picture.alt and not len(picture.table)
    assert not picture.figure.axes[0].get_lines()


def _made(name, study, units_name="us"):
    return getattr(figures, name)(study, units_name)


@pytest.mark.parametrize("name", PICTURES)
@pytest.mark.parametrize("plan", PLANS)
def test_pictures_are_described_legible_whole_and_the_same_twice(studies, plan, name):
    picture, again = (_made(name, studies[plan], "metric") for _ in range(2))
    assert picture.alt.endswith(".") and ". " not in picture.alt and "nan" not in picture.alt
    assert any(sign.isdigit() for sign in picture.alt)
    assert picture.svg() == again.svg()
    figure = picture.figure
    scale = PHONE_PX / PX_PER_IN / figure.get_size_inches()[0]
    sizes = [one.get_fontsize() for one in figure.findobj(Text) if one.get_text().strip()]
    assert min(sizes) * scale >= 10.0
    _assert_whole(figure)


def _assert_whole(figure):
    """Nothing that is drawn reaches over the edge."""
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    drawn = figure.get_tightbbox(canvas.get_renderer())
    width, height = figure.get_size_inches()
    assert min(drawn.x0, drawn.y0) >= 0 and drawn.x1 <= width and drawn.y1 <= height


def test_drawn_bars_are_in_the_table(demo):
    picture = figures.water_in_and_out(demo)
    bars = {one.get_label(): one for one in picture.figure.axes[0].containers}
    columns = {
        "well": "From the well",
        "rain on the roof": "Rain caught",
        "people": "People",
        "animals": "Animals",
        "garden": "Garden",
        "cistern full, runs off": "Runs off",
    }
    for label, name in columns.items():
        heights = np.array([bar.get_height() for bar in bars[label]])
        shown = picture.table[head(name, "volume", "us", "day")].to_numpy()
        assert np.array_equal(np.abs(heights), shown)
        assert (heights <= 0).all() == (label not in ("well", "rain on the roof"))


def test_the_pump_works_where_the_table_says(demo):
    picture = figures.pump_and_well(demo)
    lines = {one.get_label(): one for one in picture.figure.axes[0].get_lines()}
    mark = lines["runs here"]
    assert mark.get_xdata()[0] == pytest.approx(4.5)  # gal/min, as entered
    total = picture.table.loc["total dynamic head", head("Head", "length", "us")]
    assert mark.get_ydata()[0] == pytest.approx(total, abs=0.05)
    assert "with no curve" in picture.alt


def test_an_entered_curve_is_drawn_and_crossed(demo):
    curve = ["0 gal/min at 320 ft", "4 gal/min at 260 ft", "8 gal/min at 120 ft"]
    study = _with(demo.plan, pump__curve=curve)
    picture = figures.pump_and_well(study)
    lines = {one.get_label(): one for one in picture.figure.axes[0].get_lines()}
    at, height = (float(values[0]) for values in lines["runs here"].get_data())
    own = np.interp(at, *lines["pump's own curve"].get_data())
    system = np.interp(at, *lines["lift, pipe and pressure"].get_data())
    # Both lines are drawn through 25 points; between two of them they bend by less than this.
    assert own == pytest.approx(height, rel=0.01) and system == pytest.approx(height, rel=0.01)
    assert "where its curve meets the well" in picture.alt
    _assert_whole(picture.figure)


def test_storage_bars_are_the_study(demo):
    picture = figures.water_storage_days(demo)
    (dry, _), (least_dry, _) = (axis.containers[:2] for axis in picture.figure.axes)
    assert [one.get_height() for one in dry] == demo.storage.full_use_powered.to_list()
    assert [one.get_height() for one in least_dry] == demo.storage.least_powered.to_list()


def test_head_parts_add_up(demo):
    parts = water_tables.head_by_part(demo, "metric")[head("Head", "length", "metric")]
    assert parts.iloc[:-1].sum() == pytest.approx(parts.iloc[-1], abs=0.05 * len(parts))


@pytest.mark.parametrize("plan", PLANS)
def test_every_step_has_a_source_and_finite_inputs(studies, plan):
    steps = water_steps.steps_of(studies[plan])
    assert len({one.figure for one in steps}) == len(steps) >= 10
    for one in steps:
        assert reference.cite(one.source)
        assert one.formula and one.inputs
        assert all(np.isfinite(value) for _, value, _ in one.inputs), one.figure
    table = water_tables.worked(studies[plan]).table
    assert not table.isna().any(axis=None) and len(table) == len(steps)


def _step(study, figure):
    return next(one for one in water_steps.steps_of(study) if one.figure == figure)


def test_days_in_store_can_be_worked_again_from_their_inputs(demo):
    for use in ("usual use", "the least"):
        for when in ("well dry", "power out"):
            step = _step(demo, f"Days in store at {use}, {when}, thirstiest month")
            *stores, (name, day_m3, _) = step.inputs
            assert name == "use of a day"
            assert step.value == pytest.approx(sum(one for _, one, _ in stores) / day_m3)


def test_work_by_hand_can_be_worked_again(studies):
    # Two people at 1 gal each, 3 gal/min: 40 s.
    step = _step(studies["cabin"], "Work by hand for the people's least")
    assert step.value == pytest.approx(40 / 60)


def test_a_booster_pump_leaves_the_cistern_out_in_the_dark(demo):
    study = _with(demo.plan, cistern__delivery="booster pump")
    step = _step(study, "Days in store at usual use, power out, thirstiest month")
    assert [name for name, *_ in step.inputs] == ["pressure tank", "use of a day"]
    assert step.value == pytest.approx(step.inputs[0][1] / step.inputs[1][1])


def test_values_are_written_as_readers_write_them():
    assert value_text(parse("1.38 in", "length"), "length") == "1.38 in"
    assert value_text(parse("220 ft", "length"), "length") == "220 ft"
    assert value_text(90.0, "time") == "1.5 min"
    # 1 kWh/m³ is 3.785411784 Wh/gal: 1 US gallon is 3.785411784 L (NIST Handbook 44, appendix C).
    assert value_text(1000.0, "Wh/m³") == "3.79 Wh/gal"
    assert value_text(1000.0, "Wh/m³", "metric") == "1,000 Wh/m³"


def test_the_workings_fold_away_and_escape(demo):
    html = water_tables.worked(demo, "metric")._repr_html_()
    assert html.startswith("<details><summary>") and html.endswith("</details>")
    assert "<script" not in html and "gal" not in html
