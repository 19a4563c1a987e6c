"""The shared page: one file, readable and safe, and nothing in it that was left out."""

import os
import re
from datetime import date
from html.parser import HTMLParser

import numpy as np
import pytest

from homestead.outlook import run
from homestead.page import render as page
from homestead.plan import PlanError, open_plan, with_changes
from homestead.plan.file import demo_path
from homestead.screen import kept, wording
from homestead.simulate import kernel

ON = date(2026, 3, 9)
EVIL = '<script>alert(1)</script> & "sons"'
VOID = {"meta", "img", "link", "br"}


class Reader(HTMLParser):
    """Keeps tags, text and whether they nest."""

    def __init__(self, text):
        super().__init__()
        self.tags, self.open, self.words = [], [], []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_startendtag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data):
        if not self.open or self.open[-1] != "style":
            self.words.append(data)

    def all(self, name):
        return [attrs for tag, attrs in self.tags if tag == name]

    @property
    def text(self):
        return " ".join(" ".join(self.words).split())


@pytest.fixture(scope="module")
def outlook():
    return run(open_plan(demo_path()), years_n=1)


@pytest.fixture(scope="module")
def html(outlook):
    return page.shared_page(outlook, on=ON)


@pytest.fixture(scope="module")
def evil(tmp_path_factory):
    text = demo_path().read_text(encoding="utf-8")
    quoted = EVIL.replace('"', '\\"')
    for name in ("Larkspur Hollow", "woodshed", "rice in buckets", "lights"):
        text = text.replace(f'"{name}"', f'"{quoted}"')
    text = text.replace('name = "dairy goats"', "name = '<img src=x onerror=alert(2)>'")
    path = tmp_path_factory.mktemp("evil") / "plan.toml"
    path.write_text(text, encoding="utf-8")
    return page.shared_page(run(open_plan(path), years_n=1), on=ON)


def _decoded(html):
    """Page text without the courses of lines, and all its pictures."""
    inside = re.findall(r"<svg.*?</svg>", html, re.DOTALL)
    return re.sub(r' (d|x|y|transform|points|viewBox)="[^"]*"', "", html), inside


def test_no_address_and_no_script(html):
    bare, pictures = _decoded(html)
    assert "://" not in bare
    tags = Reader(html)
    assert not tags.all("script") and not tags.all("link") and not tags.all("iframe")
    assert "@import" not in bare and not re.search(r"url\((?!#)", bare)
    assert not tags.all("img")
    assert not any(name.startswith("on") for _, attrs in tags.tags for name in attrs)
    assert all("<script" not in one for one in pictures)
    policy = next(one for one in tags.all("meta") if one.get("http-equiv"))
    assert "default-src 'none'" in policy["content"]


def test_every_image_is_described(html):
    images = [one for one in Reader(html).all("svg") if one.get("role") == "img"]
    assert len(images) >= 8
    assert all(len(one["aria-label"]) > 40 for one in images)
    texts = re.findall(r"<text[^>]*>([^<]+)</text>", html)
    assert {"Jan", "Aug", "Dec"} <= set(texts)  # real text, which a reader can search and enlarge


def test_headings_are_in_order_and_tags_nest(html):
    tags = Reader(html)  # asserts nesting as it reads
    assert tags.open == []
    levels = [int(tag[1]) for tag, _ in tags.tags if re.fullmatch(r"h[1-6]", tag)]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(after - before <= 1 for before, after in zip(levels, levels[1:], strict=False))


def test_language_skip_link_and_phone(html):
    tags = Reader(html)
    assert tags.all("html")[0]["lang"] == "en"
    skip = next(one for one in tags.all("a") if one.get("class") == "skip")
    ids = [attrs["id"] for _, attrs in tags.tags if "id" in attrs]
    assert skip["href"].lstrip("#") in ids
    assert len(ids) == len(set(ids))
    assert any("width=device-width" in one.get("content", "") for one in tags.all("meta"))


def test_tables_are_real_tables(html):
    tags = Reader(html)
    assert len(tags.all("caption")) == len(tags.all("table")) >= 10
    assert all(one.get("scope") in ("col", "row") for one in tags.all("th"))
    regions = [one for one in tags.all("div") if one.get("class") == "wide"]
    assert len(regions) == len(tags.all("table"))
    assert all(one["tabindex"] == "0" and one["aria-label"] for one in regions)


def test_text_of_the_plan_stays_text(evil):
    bare, _ = _decoded(evil)
    assert "<script" not in bare and "<img src=x" not in bare
    tags = Reader(evil)
    assert EVIL in tags.text and "<img src=x onerror=alert(2)>" in tags.text
    assert EVIL in next(text for text in [tags.text] if "Drawn up on" in text)


def test_the_answer_comes_first(html, outlook):
    text = Reader(html).text
    days = outlook.homestead.p10
    assert text.index(f"Plan on {days} days") < text.index("Power")
    order = ["If nothing arrived", "How it goes dark", "Take care: power",
             "What we assume", "What the checks found", "Cautions and words",
             "How we calculated this"]  # fmt: skip
    places = [text.index(one) for one in order]
    assert places == sorted(places)


def test_date_name_weather_and_what_drawn_years_cannot_show(html, outlook):
    text = Reader(html).text
    assert "March 9, 2026" in text and outlook.plan.name in text
    assert "Greensboro" in text
    assert "A worse winter or drought can come" in text


def test_units_of_the_reader(outlook):
    us, metric = (Reader(page.shared_page(outlook, units=one, on=ON)) for one in ("us", "metric"))
    assert "(gal)" in us.text and "(L)" not in us.text
    assert "(L)" in metric.text and "(gal)" not in metric.text


def test_location_left_out(outlook):
    html = page.shared_page(outlook, leave_out=("location",), on=ON)
    bare, pictures = _decoded(html)
    site = outlook.hours.source
    for secret in ("Greensboro", "greensboro", "723170", "Piedmont", site):
        assert secret not in bare
        assert all(secret not in one for one in pictures)
    assert "leaves out the place" in bare


def test_costs_left_out(outlook):
    shown = page.shared_page(outlook, on=ON)
    hidden = page.shared_page(outlook, leave_out=("costs",), on=ON)
    costs = [f"${one.cost_money:,.0f}" for one in outlook.plan.changes]
    assert all(cost in shown for cost in costs)
    bare, _ = _decoded(hidden)
    assert "$" not in bare and "Cost" not in Reader(hidden).text
    assert outlook.plan.changes[0].name in bare


def test_nothing_of_prices_or_the_place_is_left_anywhere():
    """Values that stand nowhere else: a price with a range, and a pair of record temperatures."""
    raw = open_plan(demo_path()).raw
    fuels = [
        one | {"price": {"value": "$7.77", "low": "$6.66", "high": "$9.99"}} for one in raw["fuel"]
    ]
    site = raw["site"] | {"record_low": "-31 °F", "record_high": "117 °F"}
    plan = with_changes(raw | {"fuel": fuels, "site": site}, {}, folder=demo_path().parent)
    odd = run(plan, years_n=1)
    shown = page.shared_page(odd, on=ON)
    for secret in ("7.77", "6.66", "9.99", "-31 °F", "117 °F"):
        assert secret in shown
    for units in ("us", "metric"):
        hidden = page.shared_page(odd, on=ON, units=units, leave_out=("costs", "location"))
        bare, pictures = _decoded(hidden)
        for secret in ("7.77", "6.66", "9.99", "-31 °F", "117 °F", "-35 °C", "47 °C"):
            assert secret not in bare, secret
            # The digits of a price may stand in a line's course; a temperature has its degree.
            assert "°" not in secret or all(secret not in one for one in pictures)
        assert "record low" in bare and "record high" in bare


def test_name_left_out(outlook):
    assert outlook.plan.name not in page.shared_page(outlook, leave_out="name", on=ON)


def test_nobodys_name_or_age_is_shared(html, outlook):
    text = Reader(html).text
    assert "6 people" in text
    assert all(one.name not in text for one in outlook.plan.people)


def test_unknown_part_to_leave_out(outlook):
    with pytest.raises(ValueError, match="leave_out may hold location, costs, name; got 'age'"):
        page.shared_page(outlook, leave_out=("age",))


def test_same_outlook_same_page(outlook, html):
    assert page.shared_page(outlook, on=ON) == html


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_keeps_its_contrast(scheme):
    # WCAG 2.1, success criterion 1.4.3: 4.5 to 1 for text; luminance by its own definition.
    css = (page.HERE / "page.css").read_text(encoding="utf-8")
    dark = re.search(r"@media screen and \(prefers-color-scheme: dark\) \{.*?\n\}", css, re.DOTALL)
    page_css, css = css, dark[0] if scheme == "dark" else css.replace(dark[0], "")
    named = dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", css))

    def luminance(color):
        parts = [int(color[at : at + 2], 16) / 255 for at in (1, 3, 5)]
        linear = [
            one / 12.92 if one <= 0.03928 else ((one + 0.055) / 1.055) ** 2.4 for one in parts
        ]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    text = [named[one] for one in ("ink", "faint", "water", "danger", "warning", "note")]
    said = re.findall(r"\.grave\.(\w+) \{ color: var\(--(\w+)\)", page_css)
    assert sorted(said) == [(one, one) for one in ("danger", "note", "warning")]
    for ground in (named["paper"], named["shade"]):
        for color in text:
            lighter, darker = sorted((luminance(ground), luminance(color)), reverse=True)
            assert (lighter + 0.05) / (darker + 0.05) >= 4.5


def test_write_page(outlook, html, tmp_path):
    target = page.write_page(outlook, tmp_path / "share.html", on=ON)
    assert target.read_text(encoding="utf-8") == html
    assert [one.name for one in tmp_path.iterdir()] == ["share.html"]


def test_write_page_tells_why_it_cannot(outlook, tmp_path, monkeypatch):
    with pytest.raises(PlanError, match="the folder .* is not there"):
        page.write_page(outlook, tmp_path / "missing" / "share.html")
    with pytest.raises(PlanError, match="is a folder"):
        page.write_page(outlook, tmp_path)

    def refuse(*args, **kwargs):
        raise PermissionError(13, os.strerror(13))

    monkeypatch.setattr("tempfile.mkstemp", refuse)
    with pytest.raises(PlanError, match="cannot be written .Permission denied."):
        page.write_page(outlook, tmp_path / "share.html")


class _Days:
    """An outlook's homestead figure alone."""

    horizon_days = 365

    def __init__(self, p10):
        self.homestead = type("Spread", (), {"p10": p10})


def test_answer_at_its_ends():
    assert wording.answer(_Days(0)) == (
        "One time in ten or more you'd run out",
        "on the first day",
    )
    assert wording.answer(_Days(1)) == ("Plan on", "1 day")
    assert wording.answer(_Days(365))[1] == "a year or longer, if nothing breaks"


def test_the_first_screen_says_what_ends_it_what_to_do_this_month_and_how_sure():
    outlook = run(open_plan(demo_path()), 2)
    text = page.shared_page(outlook, on=date(2026, 10, 3))
    places = [
        text.index(one)
        for one in (
            'class="answer"', 'class="first"', "In October:", 'class="sure"',
            'class="contents', 'id="worst"', 'id="power"', 'id="assumptions"', 'id="wall"',
        )
    ]  # fmt: skip
    assert places == sorted(places)
    assert "chimney inspected" in text[places[2] : places[3]]
    links = re.findall(r'<a href="#(\w+)"', text[places[4] : places[5]])
    assert len(links) >= 7 and all(f'id="{one}"' in text for one in links)
    assert "prefers-color-scheme: dark" in text


def test_nothing_is_run_twice_for_the_whole_page(monkeypatch):
    """All tables and figures read the same years, the same worst start, the same breakdowns."""
    ran = []

    def counting(name, what):
        work = getattr(kernel, name)

        def counted(*given):
            ran.append((name, *what(*given)))
            return work(*given)

        monkeypatch.setattr(kernel, name, counted)

    def seen(*arrays):
        return tuple(np.asarray(one).tobytes() for one in arrays)

    def of_trace(first_day, days_n, rows, days, fixed, by_c, start, *rest):
        return first_day, days_n, rest[-1], seen(rows, days.garden, kernel.as_record(fixed), start)

    def of_starts(first_day, starts_n, horizon_n, rows, days, fixed, by_c, start, *rest):
        return (
            first_day,
            starts_n,
            horizon_n,
            seen(rows, days.garden, kernel.as_record(fixed), start),
        )

    counting("trace", of_trace)
    counting("run_starts", of_starts)
    demo = open_plan(demo_path())
    plan = with_changes(demo.raw, {"site.years": 1}, folder=demo.folder)
    page.shared_page(kept.outlook_of(plan), on=ON)
    assert len(ran) > 5
    assert len(set(ran)) == len(ran), [one[:3] for one in ran]
