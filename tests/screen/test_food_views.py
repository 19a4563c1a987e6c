"""Food for readers: needs, shelves, garden and feed, the year by source, what runs short first."""

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
from homestead.trades.food import tables as food_tables
from tests import pictures as all_drawn

PLANS = ("demo", "cabin", "cold-coast")
PICTURES = [draw.__name__ for draw in all_drawn.FOOD]
PHONE_PX, PX_PER_IN = 358, 96


@pytest.fixture(scope="module")
def outlooks():
    return {name: run(open_plan(shipped("data", name, "plan.toml")), years_n=2) for name in PLANS}


@pytest.fixture(scope="module")
def years(outlooks):
    return {name: food_tables.year_of(one) for name, one in outlooks.items()}


@pytest.fixture(scope="module")
def demo(years):
    return years["demo"]


def _tables(year, units_name):
    plan = year.plan
    return {
        "people": food_tables.people(plan),
        "pantry": food_tables.pantry(year.hours, units_name),
        "stores_alone": food_tables.stores_alone(year.hours),
        "blackout": food_tables.blackout(plan),
        "crops": food_tables.crops(plan, units_name),
        "animals": food_tables.animals(plan, units_name),
        "preserving": food_tables.preserving(plan, units_name, "surplus"),
        "nutrients": food_tables.nutrients(year),
        "by_start": food_tables.by_start(year),
        "eaten": food_tables.eaten(year),
        "worked": food_tables.worked(year, units_name).table,
    }


@pytest.mark.parametrize("units_name", ["us", "metric"])
@pytest.mark.parametrize("plan", PLANS)
def test_every_table_in_both_unit_systems(years, plan, units_name):
    for name, table in _tables(years[plan], units_name).items():
        assert isinstance(table, pd.DataFrame) and table.index.name, name
        assert not table.isna().any(axis=None), name
        text = f"{' '.join(map(str, table.columns))} {table.to_string()}"
        foreign = ("(kg", " kg", "(L)", "(m²)") if units_name == "us" else ("lb", "gal", "ft²")
        assert not [one for one in foreign if one in text], name


def test_a_plan_without_food_has_empty_tables(demo):
    raw = {
        name: part for name, part in demo.plan.raw.items()
        if name not in ("pantry", "freezer", "crop", "animal", "cooking", "change")
    }  # fmt: skip
    bare = with_changes(raw, {}, {}, folder=demo.plan.folder)
    year = food_tables.year_of(run(bare, years_n=1))
    tables = _tables(year, "us")
    assert not len(tables["pantry"]) and not len(tables["crops"]) and not len(tables["animals"])
    assert list(tables["blackout"].index) == ["refrigerator"]
    assert figures.pantry_and_garden(year).alt.count("is empty after 0 days") == 1


def test_need_is_the_printed_tables_sum(demo):
    # Dietary Guidelines for Americans 2015-2020, Table A2-1, by row: woman 67 moderate 1,800; man
    # 41 active 2,800; woman 39 active 2,200; boy 13 moderate 2,200; girl 9 moderate 1,600; boy 5
    # moderate 1,400. Found. Protein by the Dietary Reference Intakes, from memory: 46, 56, 46,
    # 34, 34, 19 g.
    table = food_tables.people(demo.plan)
    assert table["Energy (kcal/day)"].to_list() == [1800, 2800, 2200, 2200, 1600, 1400, 12000]
    assert table["Protein (g/day)"].to_list() == [46, 56, 46, 34, 34, 19, 235]


def test_freezer_hours_are_the_printed_ones(demo):
    # USDA FSIS, Keeping food safe during an emergency: 48 h full, 24 h half full, refrigerator 4 h.
    # Found.
    hours = food_tables.blackout(demo.plan)["Keeps, doors shut (h)"]
    assert hours["freezer, full"] == 48 and hours["freezer, half full"] == 24
    assert hours["refrigerator"] == 4


def test_each_month_is_eaten_or_missing(demo):
    table = food_tables.eaten(demo)
    daily = table[[name for name in table if name.endswith("(kcal/day)")]]
    # Each of the columns is rounded to whole kcal.
    off = (daily.sum(axis=1) - demo.need_kcal_day).abs()
    assert off.max() <= 0.5 * daily.shape[1]
    assert len(table) == 12


def test_days_by_start_are_the_outlooks(outlooks, years):
    # The weakest weather year's fewest days of energy are the outlook's own.
    for name, outlook in outlooks.items():
        least = years[name].by_start.least_days.min()
        assert least == outlook.days_of("food").min()


def test_what_ends_food_is_told(demo):
    raw = {
        name: part for name, part in demo.plan.raw.items()
        if name not in ("freezer", "crop", "animal", "change")
    }  # fmt: skip
    raw["pantry"] = [{"name": "oil", "food": "olive oil", "mass": "3000 lb"}]
    raw["failure"] = raw["failure"] | {"vitamin_c_days": 90, "salt_days": 90}
    outlook = run(with_changes(raw, {}, {}, folder=demo.plan.folder), years_n=1)
    year = food_tables.year_of(outlook)
    assert "it ends with too little protein" in food_tables.lasts_words(year)
    assert set(food_tables.by_start(year)["What ends it"]) == {"protein"}
    assert "too little protein ends it" in figures.food_days_by_start(year).alt
    assert [one.severity for one in outlook.findings if one.about == "protein"] == ["warning"]


# USDA, Complete Guide to Home Canning (2015), from memory: tomatoes in boiling water with added
# acid; carrots and greens are low in acid: under pressure only.
def test_jars_name_the_food_whose_heat_is_counted(demo):
    raw = demo.plan.raw
    mixed = raw["crop"][0] | {"name": "tomatoes and greens", "food": "tomatoes"}
    plan = with_changes(raw | {"crop": [mixed, *raw["crop"][1:]]}, folder=demo.plan.folder)
    table = food_tables.preserving(plan, "us", "surplus")
    assert table.loc["tomatoes and greens", "Counted as"] == "tomatoes"
    heat = table["Heat counted for"]
    assert heat["tomatoes and greens"] == "boiling water, only with added acid"
    assert heat["carrots and roots"] == "pressure"
    assert heat["all"] == ""


def test_words_on_the_demo(demo):
    assert set(food_tables.by_start(demo)["What ends it"]) == {"energy"}
    assert "in every month too little to eat ends it" in figures.food_days_by_start(demo).alt
    assert f"Food lasts at least {demo.days_n} days" in repr(food_tables.in_words(demo))


@pytest.mark.parametrize("name", PICTURES)
@pytest.mark.parametrize("plan", PLANS)
def test_pictures_are_described_legible_whole_and_the_same_twice(years, plan, name):
    picture, again = (getattr(figures, name)(years[plan]) for _ in range(2))
    assert picture.alt.endswith(".") and ". " not in picture.alt and "nan" not in picture.alt
    assert any(sign.isdigit() for sign in picture.alt)
    assert picture.svg() == again.svg()
    figure = picture.figure
    scale = PHONE_PX / PX_PER_IN / figure.get_size_inches()[0]
    sizes = [one.get_fontsize() for one in figure.findobj(Text) if one.get_text().strip()]
    assert min(sizes) * scale >= 10.0
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    drawn = figure.get_tightbbox(canvas.get_renderer())
    width, height = figure.get_size_inches()
    assert min(drawn.x0, drawn.y0) >= 0 and drawn.x1 <= width and drawn.y1 <= height


def test_drawn_bars_are_in_the_table(demo):
    picture = figures.pantry_and_garden(demo)
    above = picture.figure.axes[0]
    for bars in above.containers:
        label = bars.get_label()
        name = "Missing" if label == "missing" else food_tables.SOURCE_WORDS[label]
        heights = [bar.get_height() for bar in bars]
        assert heights == picture.table[f"{name} (kcal/day)"].to_list()


def test_stock_with_the_garden_is_never_below_that_without(demo):
    below = figures.pantry_and_garden(demo).figure.axes[1]
    stock, bare = (line.get_ydata() for line in below.get_lines())
    assert (stock >= bare - 1e-9).all() and (stock > bare + 1).any()
    left = demo.through.pantry_kcal + demo.through.freezer_kcal
    assert np.allclose(stock, left / demo.need_kcal_day)


def test_drawn_days_are_in_the_table(demo):
    picture = figures.food_days_by_start(demo)
    lines = {one.get_label(): one for one in picture.figure.axes[0].get_lines()}
    drawn = [str(day) for day in lines["fewest"].get_ydata()]
    assert drawn == [str(one) for one in picture.table["Food lasts, fewest (days)"]]


@pytest.mark.parametrize("plan", PLANS)
def test_every_step_has_a_source_and_finite_inputs(years, plan):
    steps = years[plan].steps
    assert len({one.figure for one in steps}) == len(steps) >= 8
    for one in steps:
        assert reference.cite(one.source)
        assert np.isfinite(one.value) and one.formula and one.inputs
        assert all(np.isfinite(value) for _, value, _ in one.inputs), one.figure


@pytest.mark.parametrize("plan", PLANS)
def test_products_and_quotients_can_be_worked_again(years, plan):
    done = 0
    for one in years[plan].steps:
        numbers = [value for _, value, _ in one.inputs]
        if one.formula.startswith(("weight ×", "harvest ×", "bed ×", "heads ×")):
            assert one.value == pytest.approx(np.prod(numbers)), one.figure
            done += 1
        elif one.formula == "energy / need":
            assert one.value == pytest.approx(numbers[0] / numbers[1]), one.figure
            done += 1
        elif one.formula.startswith("feed /"):
            assert one.value == pytest.approx(numbers[0] / np.prod(numbers[1:])), one.figure
            done += 1
    assert done >= 4


def test_crops_stand_beside_the_range_of_the_table(demo):
    table = food_tables.crops(demo.plan, "us")
    potatoes = table.loc["potatoes"]
    assert potatoes[head("Harvest", "mass", "us")] == "700"
    assert potatoes["Within the table"] == "yes"
    raw = demo.plan.raw
    more = with_changes(raw, {"crop.potatoes.harvest": "9000 lb"}, {}, folder=demo.plan.folder)
    assert food_tables.crops(more, "us").loc["potatoes", "Within the table"] == "no"


def test_feed_is_the_division_that_it_says(demo):
    # 14 hens at 0.25 lb a day, 300 lb: 85.7 days; 4 goats at 4 lb, 2,400 lb: 150 days.
    table = food_tables.animals(demo.plan, "us")
    assert table.loc["hens", "Feed lasts (days)"] == "86"
    assert table.loc["dairy goats", "Feed lasts (days)"] == "150"
