"""The wall set and the electrician's packet: figures of the outlook, no name acts, whole sheets."""

import re
import shutil
import subprocess
from datetime import date

import numpy as np
import pytest
from markupsafe import escape
from PIL import Image

from homestead.outlook import run
from homestead.page import papers, pdf
from homestead.page.render import write_page
from homestead.plan import open_plan, with_changes
from homestead.plan.file import demo_path
from homestead.questions.season import chores_of
from tests import hostile

ON = date(2026, 3, 9)


@pytest.fixture(scope="module")
def outlook():
    return run(open_plan(demo_path()), 2)


@pytest.fixture(scope="module")
def wall(outlook):
    return papers.wall_set(outlook, on=ON)


def words(html):
    return " ".join(re.sub(r"<style.*?</style>|<[^>]+>", " ", html, flags=re.DOTALL).split())


def test_each_season_says_the_days_of_its_weakest_month(outlook, wall):
    sheets = wall.split('<section class="sheet')[1:]
    assert len(sheets) == 6
    for sheet, months in zip(sheets, ((12, 1, 2), (3, 4, 5), (6, 7, 8), (9, 10, 11)), strict=False):
        least = min(outlook.by_month[month - 1].p10 for month in months)
        assert f"plan on {least} days" in sheet
        for wanted in (
            "Switch off first",
            "Animals, every day",
            "Look at every day",
            "whom to call",
        ):
            assert wanted in sheet


def test_chores_of_a_season_come_month_by_month(wall):
    fall = wall[wall.index("Fall:") : wall.index('id="cards"')]
    due = re.findall(r"<li>(Sep|Oct|Nov)\b[^:]*: ", fall)
    assert len(due) >= 3 and due == sorted(due, key=("Sep", "Oct", "Nov").index)


def test_animals_drink_more_in_summer_and_feed_is_the_plans(outlook, wall):
    given = {}
    for season in ("Winter", "Summer"):
        sheet = wall[wall.index(f"{season}:") :]
        given[season] = float(re.search(r"steer: ([\d.]+) gal", sheet)[1])
    assert given["Summer"] > given["Winter"] > 0


def test_every_chore_stands_in_the_year(outlook, wall):
    year = words(wall[wall.index('id="year"') :])
    for chore in chores_of(outlook.plan, outlook.hours.column("air_c")):
        text = " ".join(str(escape(chore.text)).split())
        assert text in year


def test_the_packet_holds_each_string_circuit_and_grave_finding(outlook):
    packet = papers.electricians_packet(outlook, on=ON)
    text = words(packet)
    assert "<svg" in packet
    for part in (*outlook.plan.arrays, *outlook.plan.circuits):
        assert part.name in text
    assert "licensed electrician decide" in text
    assert "food" not in text.partition("Circuits and findings")[2].lower()


def test_a_small_plan_has_sheets_without_what_it_lacks():
    raw = open_plan(demo_path()).raw
    needed = ("schema", "name", "site", "person", "house", "envelope")
    bare = run(with_changes({key: raw[key] for key in needed}, {}, folder=demo_path().parent), 1)
    told = words(papers.wall_set(bare, on=ON)).lower()
    assert not re.search("propane|smell gas|generator, and its oil|goats|near a fire", told)
    assert "found no danger" in papers.electricians_packet(bare, on=ON)


def test_names_are_shown_and_never_act():
    outlook = run(with_changes(hostile.hostile_data(), folder=demo_path().parent), 1)
    for html in (papers.wall_set(outlook, on=ON), papers.electricians_packet(outlook, on=ON)):
        assert (
            "<script" not in html and "<img" not in html and not re.search(r"<[^>]* on\w+=", html)
        )


def test_what_is_left_out_is_nowhere(outlook):
    assert outlook.plan.name not in papers.wall_set(outlook, leave_out=("name",), on=ON)
    assert "$" not in papers.electricians_packet(outlook, on=ON)


@pytest.mark.skipif(
    pdf.find_browser() is None or not shutil.which("pdfinfo"), reason="nothing prints here"
)
def test_what_is_left_out_is_in_no_paper_no_pdf_and_no_file_name(tmp_path):
    """A price and records that stand nowhere else, in a folder named after the place."""
    home = tmp_path / "Nowhere Springs"
    home.mkdir()
    raw = open_plan(demo_path()).raw
    fuels = [one | {"price": "$7.77"} for one in raw["fuel"]]
    site = raw["site"] | {"record_low": "-31 °F", "record_high": "117 °F"}
    plan = with_changes(raw | {"fuel": fuels, "site": site}, folder=demo_path().parent)
    secret, how = run(plan, 1), {"leave_out": ("location", "costs", "name"), "on": ON}
    page = write_page(secret, home / "homestead.html", **how)
    told = "".join(one.name for one in home.iterdir())
    for one in (page, *papers.write_papers(secret, page, **how)):
        made = pdf.print_pdf(one, one.with_suffix(".pdf"))
        for command in (["pdfinfo", made], ["pdfinfo", "-meta", made], ["pdftotext", made, "-"]):
            told += subprocess.run(command, check=True, capture_output=True, text=True).stdout
    assert "days" in told
    for word in (
        *("Greensboro", "Piedmont", "723170", "79.95", "-31 °F", "117 °F", "7.77", "$"),
        *("sunrise", "Nowhere", plan.name, str(tmp_path)),
    ):
        assert word.lower() not in told.lower(), word


@pytest.mark.skipif(pdf.find_browser() is None, reason="no Chromium on this computer")
def test_the_packet_is_two_printed_pages_and_the_wall_one_a_sheet(outlook, tmp_path):
    made = papers.write_papers(outlook, tmp_path / "homestead.html", on=ON)
    counts = {}
    for one in made:
        printed = pdf.print_pdf(one, one.with_suffix(".pdf")).read_bytes()
        counts[one.stem] = len(re.findall(rb"/Type\s*/Page\b", printed))
    assert counts == {"homestead-wall": 6, "homestead-electrician": 2}


def printed(html, tmp_path):
    """Pages of a file as it prints: how far down each is filled, from 0 to 1, footers left out."""
    made = pdf.print_pdf(html, tmp_path / "print.pdf")
    subprocess.run(["pdftoppm", "-r", "30", "-gray", made, tmp_path / "page"], check=True)
    filled = []
    for page in sorted(tmp_path.glob("page-*.pgm")):
        ink = np.asarray(Image.open(page))
        rows = np.flatnonzero((ink < 200).any(axis=1)) / len(ink)
        filled.append(float(rows[rows < 0.93].max()))
        page.unlink()
    return filled


@pytest.mark.skipif(
    pdf.find_browser() is None or not shutil.which("pdftoppm"), reason="nothing prints here"
)
@pytest.mark.parametrize("name", ["demo", "cabin", "cold-coast"])
def test_no_printed_sheet_is_half_empty_and_none_runs_over(name, tmp_path):
    outlook = run(open_plan(demo_path().parent.parent / name / "plan.toml"), 2)
    wall, packet = papers.write_papers(outlook, tmp_path / "homestead.html", on=ON)
    sheets = printed(wall, tmp_path)
    assert len(sheets) == 6 and min(sheets) > 0.65, sheets
    sheets = printed(packet, tmp_path)
    # Half a page is what a plan without circuits has to tell; with them there are two.
    assert len(sheets) == (2 if outlook.plan.circuits else 1) and min(sheets) > 0.5, sheets
    page = write_page(outlook, tmp_path / "page.html", on=ON)
    sheets = printed(page, tmp_path)
    assert len(sheets) <= 13 and min(sheets[:-1]) > 0.5, sheets
