"""Electricity for readers: tables against the studies, figures against their tables, findings."""

import dataclasses
import re

import numpy as np
import pandas as pd
import pytest

from homestead.findings.finding import ELECTRICIAN, PHRASES, Finding
from homestead.outlook import run
from homestead.page import render as page
from homestead.plan import open_plan
from homestead.plan.file import demo_path, with_changes
from homestead.reference import shipped
from homestead.screen import figures, findings, notes, wording
from homestead.screen.picture import drawn_words
from homestead.simulate.inputs import read_weather
from homestead.trades.power import check_electrical as electrical
from homestead.trades.power import limit_tables
from homestead.trades.power import study_battery as bank_study
from homestead.trades.power import study_generator as engine_study
from homestead.trades.power import study_loads as load_study
from homestead.trades.power import study_sun as sun_study
from homestead.trades.power import tables as energy_tables
from tests import pictures as all_drawn

LARGE = "tests/plans/large_ac.toml"
PLANS = ("demo", "cabin", "cold-coast", "large")
OF_OUTLOOK = (
    energy_tables.loads_by_month,
    energy_tables.most_together,
    energy_tables.worst_fortnight,
    energy_tables.generator_stores,
    energy_tables.generator_service,
)
OF_OUTLOOK_AND_UNITS = (energy_tables.battery, energy_tables.generator_schedules)
OF_PLAN = (
    energy_tables.inventory,
    energy_tables.typical,
    energy_tables.yields,
    energy_tables.yield_by_month,
    energy_tables.rule_causes,
    energy_tables.battery_rates,
    limit_tables.legs,
    limit_tables.starts,
    limit_tables.hardest_start,
    limit_tables.unit_loss,
    limit_tables.circuits,
)
OF_PLAN_AND_UNITS = (energy_tables.generator_fuel, limit_tables.strings)


def _path(name):
    if name == "demo":
        return demo_path()
    if name == "large":
        return shipped("data").parent / LARGE
    return shipped("data") / name / "plan.toml"


@pytest.fixture(scope="module")
def outlooks():
    return {name: run(open_plan(_path(name)), years_n=2) for name in PLANS}


@pytest.fixture(scope="module")
def demo(outlooks):
    return outlooks["demo"]


@pytest.fixture(scope="module")
def large(outlooks):
    return outlooks["large"]


def altered(sets):
    plan = open_plan(demo_path())
    return with_changes(plan.raw, sets, {}, folder=plan.folder)


# --- tables -----------------------------------------------------------------------------------


def _all_tables(outlook, units):
    yield from (table(outlook) for table in OF_OUTLOOK)
    yield from (table(outlook, units) for table in OF_OUTLOOK_AND_UNITS)
    yield from (table(outlook.plan) for table in OF_PLAN)
    yield from (table(outlook.plan, units) for table in OF_PLAN_AND_UNITS)


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("name", PLANS)
def test_every_table_is_a_named_frame_without_holes(outlooks, name, units):
    foreign = r"°C|\d L\b" if units == "us" else r"°F|\bgal\b"
    for table in _all_tables(outlooks[name], units):
        assert isinstance(table, pd.DataFrame)
        assert table.index.name
        assert not table.isna().any(axis=None)
        text = table.to_string()
        assert not re.search(foreign, text)
        assert "nan" not in text


def test_inventory_lists_every_load_once(demo):
    table = energy_tables.inventory(demo.plan)
    assert sorted(table.index) == sorted(one.name for one in load_study.loads_of(demo.plan))
    assert table["Priority"].is_monotonic_increasing
    # By hand: 160 W for 8 h a day is 1.28 kWh; 11 A on its plate.
    row = table.loc["refrigerator"]
    assert (row["Energy (kWh/day)"], row["Start (A)"], row["Power (W)"]) == ("1.28", "11", 160)
    assert table.loc["well pump", "Known from"] == "worked out, well drawn down to the pump"
    assert table.loc["propane furnace", "Known from"] == "worked out"


def test_a_start_that_nobody_entered_is_not_called_none(demo):
    table = energy_tables.inventory(demo.plan)
    # The plan gives no starting current for the washer; the furnace's blower is worked out.
    assert table.loc["clothes washer", "Start (A)"] == "not entered"
    words = repr(limit_tables.without_start(demo.plan))
    assert "clothes washer" in words and "dishwasher" in words and "workshop" not in words
    assert "propane furnace" not in words


def test_months_of_use_add_up(demo):
    table = energy_tables.loads_by_month(demo)
    kinds = [
        name
        for name in table
        if name.endswith("(kWh/day)") and name.split(" (")[0] not in ("All", "Not served")
    ]
    # Each cell is shown to 0.1, so the sum may be off by half of that for each kind and for all.
    gap = (table[kinds].sum(axis=1) - table["All (kWh/day)"]).abs().max()
    assert gap <= 0.05 * (len(kinds) + 1) + 1e-9


def test_busiest_hour_of_a_month_is_the_most_of_its_hours(demo):
    table = energy_tables.most_together(demo)
    by_hour = load_study.together_w(load_study.loads_of(demo.plan, demo.hours.fixed))
    assert table.loc["Jun", "In the hour from"] == "12:00"
    shown_kw = table["Most together (kW)"].to_numpy()
    assert np.abs(shown_kw - by_hour.max(axis=1) / 1000).max() <= 0.05 + 1e-9


def test_legs_share_the_busiest_hour(demo):
    table = limit_tables.legs(demo.plan)
    busiest = load_study.busiest_hour(load_study.loads_of(demo.plan))
    assert table["Power (kW)"].sum() * 1000 == pytest.approx(busiest.total_w, abs=10.0)
    assert table.loc["A", "Half of the main inverter (kW)"] == "4.50"  # half of 9 kW


def test_one_leg_where_the_grid_former_has_one(outlooks):
    plan = outlooks["cabin"].plan
    assert not plan.grid_former.is_split
    assert list(limit_tables.legs(plan).index) == ["only"]


def test_yields_of_the_arrays_are_those_of_the_months(demo):
    arrays = energy_tables.yields(demo.plan)
    months = energy_tables.yield_by_month(demo.plan)["Hour by hour (kWh/day)"]
    # Months are shown to 0.1 kWh a day and arrays to 10 kWh a year: half of each.
    slack = 0.05 * 365 + 5.0 * len(arrays)
    year = float((months * load_study.DAYS_IN).sum())
    assert arrays["Yield (kWh/year)"].sum() == pytest.approx(year, abs=slack)


def test_plain_rule_by_month_is_the_rule_of_the_account(demo):
    monthly = energy_tables.plain_rule_kwh(demo.plan, read_weather(demo.plan))
    assert monthly.shape == (12, len(demo.plan.arrays))
    for column, account in zip(monthly.T, sun_study.rule_account(demo.plan), strict=True):
        assert column.sum() == pytest.approx(account.rule_kwh, rel=1e-9)


def test_causes_lead_from_the_rule_to_the_hours(large):
    table = energy_tables.rule_causes(large.plan)
    assert len(large.plan.arrays) == 3 and table.shape[1] == 4
    steps = table.iloc[:-1].sum()
    # Rule, steps and total are each shown to 1 kWh.
    assert (steps - table.iloc[-1]).abs().max() <= 0.5 * len(table)
    each = table.drop(columns="All (kWh/year)").sum(axis=1)
    assert (each - table["All (kWh/year)"]).abs().max() <= 2.0


def test_fortnight_by_day_is_the_fortnight_by_hour(demo):
    table = energy_tables.worst_fortnight(demo)
    found = sun_study.worst_fortnight(demo.hours)
    assert list(table.index) == list(range(1, 15))
    assert table["Sun available (kWh)"].mean() * 1000 == pytest.approx(found.pv_wh_day, abs=50.0)
    assert table["Lowest charge (%)"].between(0, 100).all()


def test_battery_of_today_is_that_of_the_sunless_days(demo):
    table = energy_tables.battery(demo)
    # By hand: 6 x 4.8 kWh; a year at 2 % leaves 28.2, of which 90 % is 25.4; ten more leave 22.5.
    assert table.loc["new, warm", "On the label (kWh)"] == 28.8
    assert table.loc["today, warm", ["Holds (kWh)", "Usable (kWh)"]].to_list() == [28.2, 25.4]
    assert table.loc["in ten years, warm", "Holds (kWh)"] == 22.5
    usable = demo.year.sunless_days["usable"]
    assert table.loc["today, warm", "Sunless days"] == pytest.approx(usable, abs=0.05)
    assert len(energy_tables.battery(demo)) == len(bank_study.capacities(demo.plan))


def test_generator_burns_along_its_line(demo):
    table = energy_tables.generator_fuel(demo.plan)
    # By hand: 42,000 Btu/h of propane at 91,452 Btu/gal (EIA, from memory) is 0.459 gal/h;
    # 118,000 is 1.29. Two digits are shown.
    assert table.loc["0 %", "Fuel an hour"] == "0.46 gal"
    assert table.loc["100 %", "Fuel an hour"] == "1.3 gal"
    assert (
        energy_tables.generator_fuel(demo.plan, "metric").loc["0 %", "Fuel an hour"].endswith("L")
    )


def test_schedules_keep_their_order_and_their_days(demo):
    table = energy_tables.generator_schedules(demo)
    found = engine_study.schedules(demo.plan, engine_study.essential_day_wh(demo))
    assert list(table.index) == [one.name for one in found]
    fuel = [float(text.split()[0]) for text in table["Fuel a day"]]
    assert fuel == sorted(fuel)


def test_no_generator_gives_empty_tables(outlooks):
    cabin = outlooks["cabin"]
    assert cabin.plan.generator is None
    assert not len(energy_tables.generator_fuel(cabin.plan))
    assert not len(energy_tables.generator_schedules(cabin))
    assert not len(energy_tables.generator_stores(cabin))
    assert not len(energy_tables.generator_service(cabin))
    sheets = notes.Sheets({"Fuel <by load>": energy_tables.generator_fuel(cabin.plan)})
    assert sheets._repr_html_() == "<p><b>Fuel &lt;by load&gt;</b>: none in your plan.</p>"


def test_starts_say_where_a_soft_starter_brings_it_within(large, demo):
    assert limit_tables.starts(large.plan).loc["cooling", "As entered"] == (
        "outside; within with a soft starter"
    )
    table = limit_tables.starts(demo.plan)
    assert set(table["As entered"]) == {"within"}
    assert table["Together (kVA)"].is_monotonic_decreasing
    weak = altered({"grid_former.surge": "9 kW"})
    assert "outside" in set(limit_tables.starts(weak)["As entered"])


def test_strings_beside_their_limits(demo):
    table = limit_tables.strings(demo.plan)
    # By hand: 6 x 39.1 V x (1 + 0.0026 x (25 + 22.2)) = 263 V at -8 °F.
    assert table.loc["ground rack", "No load at -8 °F (V)"] == 263
    assert table.loc["ground rack", "By these figures"] == "within"
    long = altered({"array.ground rack.modules_per_string": 12})
    assert limit_tables.strings(long).loc["ground rack", "By these figures"].startswith("outside")


def test_circuits_repeat_their_findings(demo):
    table = limit_tables.circuits(demo.plan, demo)
    assert list(table.index) == [one.name for one in demo.plan.circuits]
    assert set(table["Wire, Table 310.16"]) == {"within"}
    assert table.loc["workshop", "Disconnect"] == "not entered"
    thin = altered({"circuit.inverter to panel.size": "12"})
    row = limit_tables.circuits(thin).loc["inverter to panel"]
    assert row["Wire, Table 310.16"] == "outside: danger"
    assert row[limit_tables.BREAKER_COLUMN] == "outside: danger"


def test_circuits_say_how_each_is_counted(demo):
    counted = limit_tables.circuits(demo.plan, demo)
    # By hand: the demo's bank is entered as not continuous at 187 A; 125 % of it is 233.75 A, and
    # 4/0 copper carries 230 A at 75 °C (Table 310.16).
    assert counted.loc["battery to inverter", "Counted as"] == (
        "source, not continuous; outside if continuous, see its note"
    )
    # 1,500 W at 120 V is 12.5 A, a motor by its entered start: 15.6 A.
    assert counted.loc["workshop", ["Carries (A)", "Held against (A)"]].to_list() == [
        *("12.5", "15.6"),
    ]
    assert counted.loc["workshop", "Counted as"] == "motor, since it has a start"
    assert counted.loc["well", "Counted as"] == "motor"
    assert counted.loc["inverter to panel", "Counted as"] == "source, continuous"


def test_a_circuit_of_unknown_current_is_not_compared():
    plan = altered({"circuit.battery to inverter.current": None})
    row = limit_tables.circuits(plan).loc["battery to inverter"]
    assert row["Carries (A)"] == "unknown"
    assert row["Wire, Table 310.16"] == "not compared"


def test_findings_of_another_notebook_are_counted_and_named(demo):
    rest = len(findings.grave(findings.chosen(demo, (findings.BATTERY, findings.GENERATOR))))
    assert repr(findings.elsewhere(demo)).startswith(f"{rest} warning") and rest
    assert "02_energy.ipynb" in repr(findings.elsewhere(demo))


# --- figures ----------------------------------------------------------------------------------

ENERGY = [draw.__name__ for draw in all_drawn.ENERGY]


@pytest.fixture(scope="module")
def pictures(outlooks):
    return {
        (name, draw.__name__): draw(outlooks[name])
        for name in ("demo", "cabin", "large")
        for draw in all_drawn.ENERGY
    }


@pytest.mark.parametrize("draw", ENERGY)
def test_descriptions_are_one_sentence_with_numbers(pictures, draw):
    for name in ("demo", "cabin", "large"):
        alt = pictures[name, draw].alt
        assert alt.endswith(".") and ". " not in alt
        assert any(sign.isdigit() for sign in alt)
        assert "nan" not in alt


@pytest.mark.parametrize("draw", ENERGY)
def test_type_is_legible_and_nothing_is_cut(pictures, draw):
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.text import Text

    for name in ("demo", "cabin", "large"):
        figure = pictures[name, draw].figure
        width, height = figure.get_size_inches()
        sizes = [one.get_fontsize() for one in figure.findobj(Text) if one.get_text().strip()]
        assert min(sizes) * 358 / 96 / width >= 10.0  # points on a phone 358 px wide
        canvas = FigureCanvasAgg(figure)
        canvas.draw()
        drawn = figure.get_tightbbox(canvas.get_renderer())
        assert drawn.x0 >= 0 and drawn.y0 >= 0
        assert drawn.x1 <= width and drawn.y1 <= height


@pytest.mark.parametrize("draw", ENERGY)
def test_the_same_numbers_give_the_same_bytes(pictures, demo, draw):
    assert pictures["demo", draw].svg() == getattr(figures, draw)(demo).svg()


def test_mean_days_shown_are_those_of_the_year(demo):
    table = figures.average_days(demo, (1, 7)).table
    means = demo.year.hourly_means.loc[1]
    assert list(table.index) == list(range(0, 24, 3))
    drawn = table["Jan: sun (kW)"].to_numpy()
    assert np.abs(drawn - means["pv_w"].to_numpy()[::3] / 1000).max() <= 0.005 + 1e-9
    with pytest.raises(ValueError, match="months must be from 1 to 12"):
        figures.average_days(demo, (13,))


def test_months_drawn_run_from_little_sun_to_much(pictures):
    axes = pictures["demo", "average_days"].figure.axes
    tops = [axis.get_lines()[0].get_label() for axis in axes[:3]]
    assert tops == ["house"] * 3
    table = pictures["demo", "average_days"].table
    sun = [float(table[name].sum()) for name in table if name.endswith(": sun (kW)")]
    assert len(sun) == 3 and sun == sorted(sun)


def test_fortnight_drawn_is_its_table(pictures, demo):
    picture = pictures["demo", "worst_fortnight"]
    charge = picture.figure.axes[2].get_lines()[0].get_ydata()
    lowest = charge.reshape(14, 24).min(axis=1)
    assert np.abs(lowest - picture.table["Lowest charge (%)"]).max() <= 0.5
    used = picture.figure.axes[0].get_lines()[0].get_ydata()
    daily = used.reshape(14, 24).sum(axis=1)
    assert np.abs(daily - picture.table["Used in the house (kWh)"]).max() <= 0.05 + 1e-9


def test_a_fortnight_of_drawn_years_is_not_called_measured(pictures, demo):
    assert demo.hours.synthetic
    alt = pictures["demo", "worst_fortnight"].alt
    assert "of all drawn weather years" in alt and "made up from real ones" in alt
    measured = dataclasses.replace(demo.hours, drawn_n=0)
    assert drawn_words(measured) == ("of all weather years", "")


def test_start_drawn_reaches_the_height_of_its_table(pictures):
    picture = pictures["large", "starting_current"]
    lines = {line.get_label(): line.get_ydata() for line in picture.figure.axes[0].get_lines()}
    table = picture.table["kVA or kW"]
    assert lines["without soft starter"].max() == pytest.approx(table["together"], abs=0.05)
    soft = table["together with a soft starter"]
    assert lines["with soft starter"].max() == pytest.approx(soft, abs=0.05)
    assert lines["main inverter gives"].max() == pytest.approx(table.iloc[-2], abs=0.05)
    assert "outside the surge without a soft starter and within it with one" in picture.alt


def test_yield_drawn_is_in_its_table(pictures):
    picture = pictures["demo", "yield_by_month"]
    axis = picture.figure.axes[0]
    heights = [bar.get_height() for bar in axis.containers[0]]
    assert heights == picture.table["Hour by hour (kWh/day)"].to_list()
    rule = next(line for line in axis.get_lines() if line.get_label() == "rule of thumb")
    assert list(rule.get_ydata()) == picture.table["Rule of thumb (kWh/day)"].to_list()


def test_causes_drawn_end_at_the_hourly_yield(pictures):
    picture = pictures["demo", "rule_causes"]
    ends = [line.get_xdata()[0] for line in picture.figure.axes[0].get_lines()
            if line.get_marker() == "D"]  # fmt: skip
    table = picture.table["All (kWh/year)"]
    assert ends == pytest.approx([table.iloc[0], table.iloc[-1]], abs=0.5)


def test_without_arrays_and_motors_the_figures_say_so():
    raw = dict(open_plan(demo_path()).raw)
    raw = {key: value for key, value in raw.items() if key not in ("array", "circuit", "panel",
           "grid_former", "battery", "generator", "shedding", "change")}  # fmt: skip
    plan = with_changes(raw, {}, {}, folder=demo_path().parent)
    outlook = run(plan, years_n=1)
    assert "no solar array" in figures.yield_by_month(outlook).alt
    assert "no solar array" in figures.rule_causes(outlook).alt
    assert "no motor that starts on a main inverter" in figures.starting_current(outlook).alt
    assert "0 kWh" in figures.worst_fortnight(outlook).alt
    assert figures.average_days(outlook).table.filter(like="charge").empty


# --- findings ---------------------------------------------------------------------------------


@pytest.mark.parametrize("name", PLANS)
def test_every_finding_has_a_subject(outlooks, name):
    outlook = outlooks[name]
    assert len(outlook.findings) > 3
    assert {finding.trade for finding in outlook.findings} <= set(findings.SUBJECTS)


def test_electrical_findings_have_electrical_subjects(large):
    found = electrical.findings_of(large.plan, large.hours)
    assert {finding.trade for finding in found} <= set(findings.ELECTRICAL)


def test_groups_hold_every_finding_once(large):
    grave = findings.grave(large.findings)
    folded = findings.notes_by_subject(large.findings)
    together = [*grave, *(one for group in folded.values() for one in group)]
    assert sorted(map(id, together)) == sorted(map(id, large.findings))
    assert list(folded) == [title for title in findings.TITLES.values() if title in folded]


def test_dangers_come_before_warnings():
    mixed = [Finding("food.c", weight, "x", "y", "z") for weight in ("warning", "note", "danger")]
    assert [one.severity for one in findings.grave(mixed)] == ["danger", "warning"]
    assert findings.counted(mixed) == "1 danger, 1 warning and 1 note"
    assert findings.counted(mixed[:2]) == "1 warning and 1 note"


def test_a_notebook_shows_the_grave_ones_open_and_folds_the_notes(large):
    shown = findings.Findings(large)
    text = shown._repr_html_()
    first_fold = text.index("<details>")
    for one in findings.grave(large.findings):
        assert 0 <= text.index(one.about) < first_fold
    assert text.count("<details>") == text.count("</details>")
    assert text.count("<details>") == len(findings.notes_by_subject(large.findings))
    assert PHRASES[ELECTRICIAN] in text[:first_fold]
    assert repr(shown) == shown.summary


def test_only_the_subjects_asked_for(demo):
    shown = findings.Findings(demo, (findings.BATTERY,))
    assert {one.about.split()[0] for one in shown.findings} == {"battery"}
    assert "No danger and no warning." in shown.summary
    assert "doesn't mean it is safe" in shown.summary  # that none says so
    nothing = findings.Findings(demo, ())
    assert "found nothing" in nothing._repr_html_()


def test_the_page_folds_the_notes_and_names_dangers_at_the_top(demo):
    html = page.shared_page(demo)
    part = html[html.index('<section id="findings"') : html.index('<section id="cautions"')]
    folded = findings.notes_by_subject(demo.findings)
    assert part.count('<details class="notes">') == len(folded)
    before = part[: part.index('<details class="notes">')]
    assert before.count('class="grave warning"') == len(findings.grave(demo.findings))
    assert 'class="grave note"' not in part
    assert part.count("<dt>") == len(demo.findings)
    answer = html[html.index('<section id="answer"') : html.index('<section id="power"')]
    assert wording.alarm(demo) in answer and "#findings" in answer


def test_no_alarm_without_a_grave_finding():
    class Quiet:
        findings = (Finding("food.c", "note", "x", "y", "z"),)

    assert wording.alarm(Quiet) == ""


@pytest.mark.parametrize("units", ["us", "metric"])
def test_electrical_findings_speak_the_plans_units(units):
    plan = altered({"units": units, "battery.place": "unheated shed"})
    texts = [one.said(units) for one in electrical.findings_of(plan)]
    cold = "-8 °F" if units == "us" else "-22 °C"
    assert sum(cold in text for text in texts) >= 5  # four of strings, one of the battery
    if units == "metric":
        assert not any("°F" in text or "gal" in text for text in texts)
    else:
        # Ratings of insulation and terminals are printed in °C on either side of the border.
        rest = [
            text for text in texts
            if "°C" in text and "insulation" not in text and "metal at 75 °C" not in text
        ]  # fmt: skip
        assert rest == []


def test_one_string_and_one_module_are_told_in_the_singular():
    plan = altered(
        {
            "array.barn roof.modules_per_string": 1,
            "array.barn roof.spare_poles": 1,
            "array.barn roof.future_strings": 1,
            "circuit.workshop.bundled": 1,
        }
    )
    texts = " ".join(one.said() for one in electrical.findings_of(plan))
    assert "1 module reaches" in texts and "1 string gives" in texts
    assert "1 spare pole for 1 string to come" in texts
    assert "1 wire carrying current;" in texts or "1 wire carrying current:" in texts
    assert "1 strings" not in texts and "1 modules" not in texts and "1 wires" not in texts


def test_nothing_is_promised(outlooks):
    for outlook in outlooks.values():
        for one in electrical.findings_of(outlook.plan, outlook.hours):
            words = one.said().lower().replace("unsafe", "")
            assert "safe" not in words and "complian" not in words
