"""A newcomer's way to the weather of the place: from the terminal and from notebook 1."""

from pathlib import Path

import pytest
from weather_server import refused, serving

from homestead.forms import place_weather
from homestead.plan import PlanFile, demo_path, open_plan
from homestead.simulate.inputs import hours_of
from tests.commands import run

ROOT = Path(__file__).resolve().parents[2]
DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


@pytest.fixture
def server():
    with serving() as state:
        yield state


def homestead(*arguments, cwd, answers=""):
    done = run(*arguments, cwd=cwd, answers=answers, HOMESTEAD_CACHE="off")
    return done.returncode, done.stdout, done.stderr


@pytest.fixture
def home(tmp_path):
    place = tmp_path / "place"
    code, _, err = homestead("new", place, cwd=tmp_path, answers="\n\n\n\n")
    assert code == 0, err
    return place


def test_new_weather_days(home, server, tmp_path):
    before = PlanFile(home / "plan.toml").plan
    years = ("--from", 2001, "--to", 2011, "--url", server.url, "--place", "Our valley")
    code, out, err = homestead("weather", 36.1, -79.95, home, *years, "--yes", cwd=tmp_path)
    assert code == 0, err
    assert "11 years, 2001 to 2011" in out and "its own valley" not in out
    assert "misses your own valley" in out and "site.weather: " in out
    plan = open_plan(home)
    assert plan.site.weather == "weather-nasa-36.100--79.950.csv"
    # 2.4 mm a day, shown to a millimeter; two of the eleven Februaries have 29 days.
    gauge = [0.0024 * (28 + 2 / 11 if days == 28 else days) for days in DAYS]
    assert plan.site.rain_m == pytest.approx(gauge, abs=0.00051)
    assert plan.site.record_low_c <= before.site.record_low_c
    server.asked.clear()
    code, out, err = homestead("days", home, "--years", 1, cwd=tmp_path)
    assert code == 0, err
    assert server.asked == []  # everything works offline afterward
    assert "plan on" in out
    # Rain of the record: 2.4 mm each day, not the plan's wet days.
    hours = hours_of(plan)
    assert hours.years_n == 11 and not hours.synthetic and "NASA POWER" in hours.source
    rain_m = hours.rain_m.reshape(11, 365, 24).sum(axis=2)
    assert rain_m == pytest.approx(0.0024, rel=1e-3)


def test_nothing_changes_without_a_yes(home, server, tmp_path):
    text = (home / "plan.toml").read_bytes()
    years = ("--from", 2001, "--to", 2001, "--url", server.url)
    code, out, _ = homestead("weather", 36.1, -79.95, home, *years, cwd=tmp_path, answers="n\n")
    assert code == 0 and "Your plan stays as it was" in out
    assert (home / "plan.toml").read_bytes() == text


def test_horizon_goes_to_every_array(home, server, tmp_path):
    years = ("--from", 2001, "--to", 2001, "--url", server.url, "--horizon", "--yes")
    code, _, err = homestead("weather", 36.1, -79.95, home, *years, cwd=tmp_path)
    assert code == 0, err
    for array in open_plan(home).arrays:
        assert array.horizon_deg == tuple(float(step % 9) for step in range(48))


def test_no_network_and_wrong_service_are_one_sentence(home, tmp_path):
    code, _, err = homestead(
        "weather", 36.1, -79.95, home, "--url", "http://127.0.0.1:9/", cwd=tmp_path
    )
    said = [line for line in err.splitlines() if line.startswith("homestead:")]
    assert code == 1 and len(said) == 1 and "can't be reached: go online" in said[0]
    assert "Traceback" not in err
    code, _, err = homestead("weather", 1, 2, home, "--service", "x", cwd=tmp_path)
    assert code == 1 and "must be one of nasa, pvgis" in err


# --- notebook 1 -------------------------------------------------------------------------------


def test_the_form_fetches_shows_and_then_changes(home, server):
    before = (home / "plan.toml").read_bytes()
    form = place_weather(home, server.url, 2001, 2002)
    form.latitude.value, form.longitude.value = "36.1", "-79.95°"
    form.fetch_button.click()
    assert form.status.startswith("Fetched and kept: 2 years, 2001 to 2002.")
    assert (home / "plan.toml").read_bytes() == before
    assert form.use_button.layout.display == ""
    form.use_button.click()
    assert form.status.startswith("Saved.")
    assert open_plan(home).site.weather.startswith("weather-nasa-")


def test_the_form_says_what_is_wrong(home, server):
    form = place_weather(home, server.url, 2001, 2001)
    form.latitude.value = "north"
    form.fetch_button.click()
    assert form.status == "Latitude must be degrees as a number, such as 36.1; got 'north'."
    form.latitude.value, form.longitude.value = "36.1", "-79.95"
    server.faults = [refused(422, b'{"message": "sea"}')]
    form.fetch_button.click()
    assert "has no answer for this place" in form.status
    assert form.use_button.layout.display == "none"


def test_the_demo_keeps_its_weather(server):
    form = place_weather(demo_path(), server.url, 2001, 2001)
    form.fetch_button.click()
    assert form.status.startswith("The demo keeps its weather") and server.asked == []
