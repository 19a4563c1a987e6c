"""Small forms with one button, driven without a browser."""

import pytest

from homestead import disk_cache, forms, workspace
from homestead.plan import PlanFile, demo_path, whose


@pytest.fixture
def file(tmp_path, monkeypatch):
    monkeypatch.setenv(disk_cache.ENVIRONMENT, "off")
    workspace.new(tmp_path, "cabin")
    opened = PlanFile(tmp_path)
    opened.set("site.years", 1)
    opened.save()
    return opened


def test_gauges_give_the_days_from_today(file):
    form = forms.today(file)
    assert set(form.fields) >= {"battery", "woodpile", "cistern", "pantry"}
    form.fields["battery"].value = "very full"
    form.press()
    assert form.said.startswith("battery: a share from 0 to 100 %")
    form.fields["battery"].value = "60 %"
    form.press()
    assert form.said.startswith("If nothing arrived from today")
    assert form.said.count("This week:") <= 3


def test_first_questions_begin_a_plan_and_keep_the_old_one(file):
    form, old = forms.first_questions(file), file.text
    form.fields["battery"].value = "enormous"
    form.press()
    assert "How large a battery?" in form.said and file.text == old
    form.fields["battery"].value = "12kWh"
    form.press()
    assert form.said.startswith("Saved.") and file.plan.battery.module_wh == 12000.0
    assert "example" not in whose.states(file.plan).values()
    assert old in file.revisions()[-1].read_text(encoding="utf-8")


def test_the_demo_is_never_begun_again():
    form = forms.first_questions(PlanFile(demo_path()))
    form.press()
    assert "the demo stays as it is" in form.said


def test_the_page_is_written_beside_the_plan(file):
    form, far = forms.share(file), []
    form._place.observe(lambda change: far.append(change["new"]), "value")
    form.press()
    assert form.said.startswith("Written: ")
    assert any("<progress" in one for one in far[:-1]) and "<progress" not in far[-1]
    assert (file.path.parent / "homestead.html").read_text("utf-8").startswith("<!DOCTYPE html>")
