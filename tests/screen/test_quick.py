"""The quick figure of a form, and tables saved as CSV: what is drawn and written is what came."""

import csv
import io
import re
from html.parser import HTMLParser
from urllib.parse import unquote

import numpy as np
import pandas as pd
import pytest

from homestead.plan import demo_path, open_plan
from homestead.screen import live, notes, tables
from homestead.screen.quick import Series, months_html
from homestead.screen.readable import csv_link, csv_text

VALUES = np.array([100.0, 0, 50, 25, 10, 20, 30, 40, 60, 70, 80, 90])


def bars(text):
    found = re.findall(r'<rect class="hs-bar"[^>]* y="([\d.]+)"[^>]*height="([\d.]+)"', text)
    return [(float(y), float(height)) for y, height in found]


def test_heights_are_in_proportion_and_zero_is_not_drawn():
    drawn = bars(months_html("Water", "gal", [Series("used", VALUES, "water")]))
    heights = [height for _, height in drawn]
    kept = VALUES[VALUES > 0]
    assert len(heights) == len(kept) == 11
    assert np.array(heights) / heights[0] == pytest.approx(kept / kept[0], abs=0.005)


def test_stacked_bars_stand_on_each_other():
    one, other = (Series(name, VALUES + 5, name) for name in ("water", "food"))
    drawn = bars(months_html("x", "gal", [one, other]))
    below, above = drawn[:12], drawn[12:]
    for (top, _), (y, height) in zip(below, above, strict=True):
        assert y + height == pytest.approx(top, abs=0.2)


def test_description_names_the_extremes_and_text_is_escaped():
    text = months_html("<b>", "gal", [Series("used & kept", VALUES, "water")])
    assert "<b>" not in text and "used &amp; kept" in text
    assert 'aria-label="&lt;b&gt;, gal: used &amp; kept 0 (Feb) to 100 (Jan)."' in text


def test_nothing_at_all_is_drawn_as_nothing():
    assert bars(months_html("x", "gal", [Series("used", np.zeros(12), "water")])) == []


def test_the_quick_figure_shows_the_table_of_the_same_year():
    plan = open_plan(demo_path())
    table = tables.energy_by_month(live.one_year_of(plan))
    used = table["Used in the house (kWh/day)"].to_numpy()
    heights = np.array([height for _, height in bars(live.power.picture(plan))[:12]])
    assert heights / heights.max() == pytest.approx(used / used.max(), abs=0.005)


def test_what_is_at_once_and_later_is_all():
    plan = open_plan(demo_path())
    for effect in (live.place, live.power, live.water, live.warmth):
        assert effect(plan) == {**effect.at_once(plan), **effect.later(plan)}


def test_csv_reads_back_and_no_text_is_a_formula():
    table = pd.DataFrame(
        {"Name": ['=cmd|" "!A1', "a, b", "ü"], "Days": [1, 2, -3]}, index=["+x", "y", "z"]
    )
    table.index.name = "Row"
    rows = list(csv.reader(io.StringIO(csv_text(table))))
    assert rows[0] == ["Row", "Name", "Days"]
    assert rows[1] == ["'+x", '\'=cmd|" "!A1', "1"]
    assert rows[2:] == [["y", "a, b", "2"], ["z", "ü", "-3"]]


def test_link_holds_the_same_and_its_title_is_escaped():
    found = {}

    class Reader(HTMLParser):
        def handle_starttag(self, tag, attrs):
            found.update(dict(attrs))

    table = pd.DataFrame({"A": [1, 2]}, index=pd.Index(["x", "y"], name="n"))
    Reader().feed(csv_link(table, '<Sun & "rain">'))
    assert found["download"] == "sun-rain.csv"
    head, _, content = found["href"].partition(",")
    assert head == "data:text/csv;charset=utf-8"
    assert unquote(content) == "\ufeff" + csv_text(table)
    assert "Save as CSV" in notes.Numbers(table, "t")._repr_html_()
