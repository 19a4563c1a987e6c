"""One switch changes the units of all that is shown: forms, page, papers, tables, findings, CLI.

The demo as it is and with the switch turned; then every shown text is searched for units of the
other system. Published cautions name both ("20 ft (6 m)"), and rated names stay as on the label.
"""

import re

import pytest
from typer.testing import CliRunner

from homestead import cli, disk_cache
from homestead.forms import form
from homestead.forms.static import values_html
from homestead.outlook import run
from homestead.page import papers
from homestead.page.render import shared_page
from homestead.plan import PlanFile, demo_path, open_plan, with_changes
from homestead.plan.schema import Plan, top_key
from homestead.questions import guesses
from homestead.screen import next_tables, nextsteps, tables
from homestead.trades.food import tables as food_tables
from homestead.trades.power import limit_tables
from homestead.trades.power import tables as power_tables
from homestead.trades.warmth import tables as warmth_tables
from homestead.trades.warmth import workings
from homestead.trades.water import tables as water_tables
from tests import pictures as all_drawn

UNITS = {
    "us": r"°F|\bgal\b|(?<=\d )ft\b|ft²|\blb\b|\bcords?\b|\bBtu\b|\bR-\d|\bpsi\b|\bmph\b|\binch",
    "metric": r"°C|(?<=[\d (])L\b|(?<=\d )mm?\b(?! tank)|\bcm\b|m²|m³|\bkg\b|\bkPa\b|m/s",
}
OTHER = {"us": "metric", "metric": "us"}
# Said in both systems, or no unit of the family's.
BOTH = re.compile(
    r"\d[\d.,]* (?:ft|°F|gal|in|lb) \(-?\d[\d.,]* (?:m|°C|L|cm|kg)\)|128 cubic feet or 3.6 m³"
    r"|\b(?:60|75|90) °C(?! outside)"  # the classes of conductors and terminals
    # Of a module's data sheet, of a label, of two workings.
    r"|per °C|SEER in Btu|Wh for 1 °C|Wh in 1 m³, 1 °C warmer"
)
PARTS = [top_key(name) for name in Plan.model_fields if name != "schema_n"]


def words(html):
    """What a reader sees or hears of a page: its text, and the descriptions of its figures."""
    html = re.sub(r"<style.*?</style>|href=\"data:[^\"]*\"", " ", str(html), flags=re.DOTALL)
    return re.sub(r"<[^>]*?(aria-label=\"[^\"]*\")?[^>]*>", r" \1 ", html)


def of_the_other(text, system):
    text = BOTH.sub(" ", re.sub(r"\s+", " ", text))
    found = re.finditer(UNITS[OTHER[system]], text)
    return sorted({text[max(0, one.start() - 40) : one.end() + 15] for one in found})


@pytest.fixture(scope="module", params=["us", "metric"])
def system(request):
    return request.param


@pytest.fixture(scope="module")
def outlook(system):
    plan = open_plan(demo_path())
    return run(with_changes(plan.raw, {"units": system}, folder=plan.folder), 2)


def test_the_search_finds_units_of_both_systems():
    assert of_the_other("<p>12 gal", "metric") and of_the_other("12 L", "us")
    assert not of_the_other("12 gal at 20 ft (6 m)", "us")


def test_page_and_papers(outlook, system):
    found = nextsteps.each_alone(outlook)
    for html in (
        shared_page(outlook, found=found),
        papers.wall_set(outlook),
        papers.electricians_packet(outlook),
    ):
        assert of_the_other(words(html), system) == []


def test_figures_and_their_descriptions(outlook, system):
    drawn = [draw(outlook) for draw in (*all_drawn.PICTURES, *all_drawn.WARMTH, *all_drawn.ENERGY)]
    study, year = water_tables.study_of(outlook), food_tables.year_of(outlook)
    drawn += [one(study, system) for one in all_drawn.WATER]
    drawn += [one(year) for one in all_drawn.FOOD]
    for picture in drawn:
        assert of_the_other(words(picture.html()), system) == [], picture.title


def test_tables_of_all_trades(outlook, system):
    plan, study = outlook.plan, water_tables.study_of(outlook)
    made = [
        tables.days_of_independence(outlook, system), tables.failure_rules(plan, system),
        tables.assumptions(plan, system), tables.water_stores(plan, outlook, system),
        tables.fuel_stores(outlook, system), tables.pantry(plan, system),
        *(one(study, system) for one in (
            water_tables.well, water_tables.pump, water_tables.pressure_tank,
            water_tables.two_hours, water_tables.cistern, water_tables.by_hand,
            water_tables.rain, water_tables.household, water_tables.demand, water_tables.garden,
        )),
        *(one(outlook, system) for one in (
            warmth_tables.propane_tanks, warmth_tables.design_day,
            warmth_tables.heaters_by_month, warmth_tables.hot_water_and_cooling,
            warmth_tables.cool_down_times,
        )),
        *(one(plan, system) for one in (
            warmth_tables.cordwood, warmth_tables.cost_of_heat, warmth_tables.shell,
            food_tables.crops, limit_tables.strings, power_tables.generator_fuel,
        )),
        power_tables.battery(outlook, system),
        next_tables.guesses(guesses.sureness(plan, draws_n=8)),
    ]  # fmt: skip
    for table in made:
        assert of_the_other(table.to_csv().replace(",", " "), system) == [], table.columns
    assert of_the_other(words(workings.worked(outlook, system)._repr_html_()), system) == []


def test_findings(outlook, system):
    assert of_the_other(" | ".join(one.said(system) for one in outlook.findings), system) == []


def test_forms_their_hints_and_their_values(system, tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text(demo_path().read_text("utf-8"), "utf-8")
    file = PlanFile(path)
    file.set("units", system)
    shown = form(file, *(one for one in PARTS if one not in ("change", "price", "phase")))
    told = values_html(shown)
    for field in shown.fields:
        told += f" | {field.entry.label(shown.system)} {field.entry.limits(shown.system)}"
        told += f" {field.default_text()}"
    curve = r"Pump curve [^;<|]*"  # as on the maker's sheet
    assert of_the_other(words(re.sub(curve, "", told)), system) == []
    assert len(shown.fields) > 300


def test_the_command_and_its_json(system, tmp_path, monkeypatch):
    monkeypatch.setenv(disk_cache.ENVIRONMENT, "off")
    path = tmp_path / "plan.toml"
    path.write_text(demo_path().read_text("utf-8").replace('"us"', f'"{system}"', 1), "utf-8")
    for options in (("--full",), ("--json",)):
        done = CliRunner().invoke(cli.app, ["days", str(path), "--years", "1", *options])
        assert done.exit_code == 0
        assert of_the_other(done.output, system) == []
