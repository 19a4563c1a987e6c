"""Figures: descriptions, numbers equal to what is drawn, the same bytes twice, legible type."""

import base64
import re
from html.parser import HTMLParser

import numpy as np
import pytest

from homestead.outlook import run
from homestead.plan import open_plan
from homestead.plan.file import demo_path
from homestead.screen import figures, series
from homestead.screen.readable import head
from tests import pictures as all_drawn

PHONE_PX, PX_PER_IN = 358, 96  # a phone of 390 px less the page's edges


@pytest.fixture(scope="module")
def outlook():
    return run(open_plan(demo_path()), years_n=2)


@pytest.fixture(scope="module")
def pictures(outlook):
    return {draw.__name__: draw(outlook) for draw in all_drawn.PICTURES}


NAMES = [draw.__name__ for draw in all_drawn.PICTURES]


@pytest.mark.parametrize("name", NAMES)
def test_description_is_one_sentence_with_numbers(pictures, name):
    alt = pictures[name].alt
    assert alt.endswith(".") and ". " not in alt
    assert any(sign.isdigit() for sign in alt)
    assert "nan" not in alt


@pytest.mark.parametrize("name", NAMES)
def test_same_numbers_same_bytes(pictures, outlook, name):
    draw = getattr(figures, name)
    first, again = pictures[name].svg(), pictures[name].svg()
    assert first == again == draw(outlook).svg()
    assert b"<dc:date>" not in first


@pytest.mark.parametrize("name", NAMES)
def test_type_is_at_least_10_pt_on_a_phone(pictures, name):
    from matplotlib.text import Text

    figure = pictures[name].figure
    scale = PHONE_PX / PX_PER_IN / figure.get_size_inches()[0]
    sizes = [one.get_fontsize() for one in figure.findobj(Text) if one.get_text().strip()]
    assert sizes and min(sizes) * scale >= 10.0


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_cut_at_the_edge(pictures, name):
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    figure = pictures[name].figure
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    drawn = figure.get_tightbbox(canvas.get_renderer())  # of all that is drawn, in inches
    width, height = figure.get_size_inches()
    assert drawn.x0 >= 0 and drawn.y0 >= 0
    assert drawn.x1 <= width and drawn.y1 <= height


def test_notebook_gets_an_image_with_its_description(pictures):
    data, about = pictures["needs_overview"]._repr_mimebundle_()
    assert base64.b64decode(data["image/png"]).startswith(b"\x89PNG")
    assert about["image/png"]["alt"] == pictures["needs_overview"].alt
    assert pictures["needs_overview"].alt in data["text/plain"]


def test_html_has_image_description_and_folded_table(pictures):
    found = []

    class Reader(HTMLParser):
        def handle_starttag(self, tag, attrs):
            found.append((tag, dict(attrs)))

    Reader().feed(pictures["energy_by_month"].html())
    tags = [tag for tag, _ in found]
    assert tags[:3] == ["figure", "figcaption", "svg"] and {"details", "caption"} <= set(tags)
    image = found[2][1]
    assert image["aria-label"] == pictures["energy_by_month"].alt and image["role"] == "img"


def test_drawn_sun_is_in_the_table(pictures):
    picture = pictures["energy_by_month"]
    (axis,) = picture.figure.axes
    (line,) = axis.get_lines()
    assert "sun available" in [one.get_text() for one in axis.texts]  # it carries its own name
    assert np.array_equal(line.get_ydata(), picture.table["Sun available (kWh/day)"])


def test_coldest_week_is_the_coldest(outlook):
    week = series.coldest_week(outlook)
    daily = outlook.hours.column("air_c").reshape(-1, 24).mean(axis=1)
    means = [daily[day : day + 7].mean() for day in range(len(daily) - 6)]
    assert week.hourly["outside_c"].mean() == pytest.approx(min(means))


def test_cold_snap_in_either_unit(outlook):
    us, metric = (figures.cold_snap(outlook, one).table for one in ("us", "metric"))
    fahrenheit = us[head("Outside, lowest", "temperature", "us")].to_numpy()
    celsius = metric[head("Outside, lowest", "temperature", "metric")].to_numpy()
    assert np.abs(fahrenheit - (celsius * 9 / 5 + 32)).max() <= 0.5 + 0.9


def test_needs_keep_apart_in_grey():
    # Relative luminance by ITU-R BT.709 weights; each step at least 0.05 of white's.
    def gray(color):
        parts = [int(color[at : at + 2], 16) / 255 for at in (1, 3, 5)]
        linear = [
            one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in parts
        ]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    shades = sorted(gray(figures.COLOR[need]) for need in ("power", "food", "warmth", "water"))
    assert min(np.diff(shades)) >= 0.05
    assert len({figures.MARKER[need] for need in ("power", "food", "warmth", "water")}) == 4


def test_the_needs_are_told_by_one_measure_each(outlook):
    alt = figures.needs_overview(outlook).alt
    shares = {need: one for need, one in outlook.first_to_fail.items() if need != "none"}
    weakest = min(outlook.needs, key=lambda need: outlook.needs[need].p10)
    assert f"{weakest} is the weakest" in alt
    assert f"{max(shares, key=shares.get)} goes first most often." in alt
    assert "half" not in alt


def test_every_fill_and_stroke_of_a_drawing_is_a_color_or_a_pattern_in_it(outlook):
    text = str(figures.heat_by_month(outlook).drawn())
    patterns = set(re.findall(r'<pattern id="([\w-]+)"', text))
    assert patterns  # heaters are hatched
    for color in re.findall(r'(?:fill|stroke)(?:="|: ?)([^";]+)', text):
        inside = re.fullmatch(r"url\(#([\w-]+)\)", color)
        if inside:
            assert inside[1] in patterns
        else:
            assert re.fullmatch(r"#[0-9a-f]{6}|var\(--\w+\)|none", color), color
