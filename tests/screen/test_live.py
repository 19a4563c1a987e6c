"""A notebook follows its form: what a change brings up to date, and what it never runs again."""

import asyncio
import threading
import time
from types import SimpleNamespace

import pytest

from homestead.forms import form, live
from homestead.plan import PlanFile, demo_path, open_plan
from homestead.screen import kept
from homestead.screen.readable import days_text

BIGGER = ("pantry.rice in buckets.mass", "1500 lb")
LESS = ("appliance.lights.power", "40 W")


class Shell:
    """As much of an interactive shell as a desk uses."""

    def __init__(self):
        self.user_ns, self.seen = {}, []
        self.events = SimpleNamespace(
            register=lambda name, call: self.seen.append((name, call)),
            unregister=lambda name, call: self.seen.remove((name, call)),
        )
        self.display_formatter = SimpleNamespace(format=lambda one: ({"text/plain": one}, {}))

        self.input_transformers_post = []

    def run(self, text):
        lines = text.splitlines(keepends=True)
        for change in self.input_transformers_post:
            lines = change(lines)
        self.tell("pre_run_cell", text)
        exec("".join(lines), self.user_ns)
        self.tell("post_run_cell", text)

    def tell(self, event, text):
        for name, call in list(self.seen):
            if name == event:
                call(SimpleNamespace(raw_cell=text))


@pytest.fixture
def notebook(tmp_path, monkeypatch):
    text = demo_path().read_text(encoding="utf-8").replace("years = 30", "years = 2")
    (tmp_path / "plan.toml").write_text(text, encoding="utf-8")
    shell, updates = Shell(), []
    monkeypatch.setattr(live, "_shell", lambda: shell)
    monkeypatch.setattr(live, "_send", lambda name, data, metadata: updates.append((name, data)))
    shown = []
    monkeypatch.setattr(
        "IPython.display.display", lambda one, display_id=None: shown.append((display_id, one))
    )
    plan = live.open_plan(tmp_path / "plan.toml")
    shell.user_ns.update(plan=plan, outlook=live.outlook_of(plan), display=live.display, ran=[])
    yield SimpleNamespace(shell=shell, updates=updates, shown=shown, file=tmp_path / "plan.toml")
    live.desk().close()
    live._desk = None


def opened(notebook, *parts):
    notebook.shell.run("pass  # the cell of the form")
    return form(None, *parts)


def test_every_output_follows_a_change_in_its_own_place(notebook):
    notebook.shell.run("days = outlook.homestead.p10\ndisplay(str(days), plan.name)")
    made = opened(notebook, "appliance")
    made.set(*LESS)
    names = [name for name, _ in notebook.shown]
    assert [name for name, _ in notebook.updates] == names
    now = kept.outlook_of(open_plan(notebook.file)).homestead.p10
    assert notebook.updates[0][1] == {"text/plain": str(now)}
    assert now != int(notebook.shown[0][1])


def test_a_cell_that_shows_nothing_is_not_run_again(notebook):
    notebook.shell.run("ran.append(1)")
    notebook.shell.run("display('a')")
    opened(notebook, "pantry").set(*BIGGER)
    assert notebook.shell.user_ns["ran"] == [1] and len(notebook.updates) == 1


def test_the_strip_says_the_same_as_a_run_and_what_the_change_did(notebook):
    live.strip()
    before = kept.outlook_of(open_plan(notebook.file)).homestead.p10
    made = opened(notebook, "appliance")
    made.set(*LESS)
    found = kept.outlook_of(open_plan(notebook.file))
    said = live.desk().strip.html
    assert f"<strong>{found.homestead.p10}</strong> days as usual" in said
    back = days_text(found.cutting_back.homestead.p10, 365)
    assert f"<strong>{back}</strong> cutting back" in said
    moved = found.homestead.p10 - before
    assert moved and f"{abs(moved)} day" in said and "than before the change" in said
    assert "Saved " in said


def test_what_fails_is_said_and_the_form_goes_on(notebook):
    notebook.shell.run("display('a')\nif plan.pantry[0].mass_kg > 400:\n    1 / 0")
    made = opened(notebook, "pantry")
    made.set(*BIGGER)
    assert "division by zero" in live.desk().strip.html
    made.undo()
    assert "did not work" not in live.desk().strip.html


def test_work_for_an_older_change_is_given_up(notebook):
    notebook.shell.run("display('a')")
    desk = live.desk()
    handed = []
    desk._ticket = 7
    desk._follow(desk.file.plan, 6, lambda *work: handed.append(work), None)
    assert handed == [] and notebook.updates == []


def test_undo_and_redo_go_both_ways(notebook):
    made = opened(notebook, "pantry")
    made.set(*BIGGER)
    made.undo()
    assert PlanFile(notebook.file).raw()["pantry"][0]["mass"] != "1500 lb"
    made.redo()
    assert PlanFile(notebook.file).raw()["pantry"][0]["mass"] == "1500 lb"
    made.undo()
    made.set("pantry.rice in buckets.mass", "700 lb")
    made.redo()  # a new change leaves nothing to redo
    assert PlanFile(notebook.file).raw()["pantry"][0]["mass"] == "700 lb"


def test_the_last_change_becomes_an_idea_with_a_cost(notebook):
    made = opened(notebook, "pantry")
    before = PlanFile(notebook.file).raw()
    made.set(*BIGGER)
    made._idea.button.click()
    made._idea.name.value, made._idea.cost.value = "more rice", "dear"
    made.keep_as_idea("more rice", "dear")
    assert "cost" in made.status and PlanFile(notebook.file).raw()["pantry"][0]["mass"] == "1500 lb"
    made.keep_as_idea("more rice", "$400")
    assert made.status.startswith("Kept as an idea: more rice."), made.status
    after = PlanFile(notebook.file).raw()
    assert after["pantry"] == before["pantry"]
    idea = after["change"][-1]
    assert (idea["name"], idea["cost"], idea["sets"]) == ("more rice", "$400", dict([BIGGER]))
    made.undo()
    assert PlanFile(notebook.file).raw()["change"] == before["change"]


@pytest.fixture
def in_lab(monkeypatch):
    """Shell of a notebook that `homestead open` serves: what takes long is put off."""
    monkeypatch.setenv(live.PUT_OFF, "on")
    monkeypatch.setattr(live, "QUIET_S", 0.05)
    shell = Shell()
    shell.kernel = object()
    monkeypatch.setattr(live, "_shell", lambda: shell)
    return shell


def test_what_takes_long_is_put_off_until_all_other_cells_have_run(notebook, in_lab):
    shell = in_lab
    ran = []

    def study(plan, progress):
        progress(1, 2)
        ran.append("study")
        return "found"

    async def opened_in_lab():
        plan = live.open_plan(notebook.file)
        shell.user_ns.update(plan=plan, display=live.display, live=live, study=study, ran=ran)
        shell.user_ns["upper"] = str.upper
        shell.run("found = study(plan, progress=live.goes_on)\ndisplay(found)")
        shell.run("larger = upper(found)\ndisplay(found, larger)\ndisplay(found)")
        shell.run("ran.append('form')\ndisplay('form')")
        live.strip()
        assert ran == ["form"] and "found" not in shell.user_ns
        until = time.monotonic() + 60
        while "aria-busy" in live.desk().strip.html and time.monotonic() < until:
            await asyncio.sleep(0.05)

    asyncio.run(opened_in_lab())
    assert ran == ["form", "study"] and shell.user_ns["found"] == "found"
    places = [name for name, _ in notebook.shown][-5:]
    texts = [data["text/plain"] for _, data in notebook.updates]
    assert texts == ["found", "found", "FOUND", "found"]
    assert [name for name, _ in notebook.updates] == places[:4]


def test_a_cell_run_while_others_catch_up_waits_for_what_it_needs(notebook, in_lab):
    shell = in_lab
    began, may_end = threading.Event(), threading.Event()

    def study(plan, progress):
        began.set()
        while not may_end.wait(0.01):
            progress(1, 2)
        return "found"

    async def opened_in_lab():
        plan = live.open_plan(notebook.file)
        shell.user_ns.update(plan=plan, display=live.display, live=live, study=study)
        live.strip()
        shell.run("found = study(plan, progress=live.goes_on)\ndisplay(found)")
        until = time.monotonic() + 60
        while not began.is_set() and time.monotonic() < until:
            await asyncio.sleep(0.01)
        shell.run("display(found + '!')")  # no name of that kind is there yet
        assert "found" not in shell.user_ns
        await asyncio.sleep(0.2)
        may_end.set()
        while "aria-busy" in live.desk().strip.html and time.monotonic() < until:
            await asyncio.sleep(0.05)
        shell.run("now = found")  # and now it is there at once
        assert shell.user_ns["now"] == "found"

    asyncio.run(opened_in_lab())
    assert [data["text/plain"] for _, data in notebook.updates] == ["found", "found!"]
