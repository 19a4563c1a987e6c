"""Fetching the real weather of the family's place from a notebook: where, a bar, what changes."""

import ipywidgets as widgets
from IPython.display import display

from homestead.forms import live
from homestead.forms.looks import CSS, VIEW, Looks
from homestead.plan import PlanError, PlanFile
from homestead.questions import own_weather
from homestead.screen.escaping import html_text

SERVICES = (("NASA POWER, the whole world", "nasa"), ("PVGIS, most of the world", "pvgis"))


def place_weather(source=None, url=None, first=None, last=None):
    """Form that fetches hourly years of a place and, when told to, uses them in the plan.

    source (PlanFile or str or Path, optional) : The plan; without it the plan in use.
    url (str, optional) : Instead of the service's own address.
    first, last (int, optional) : Years; all that the service has by default.
    Gives PlaceWeather.
    """
    desk = live.desk() if source is None else None
    if desk is not None:
        desk.leave_out()
        return PlaceWeather(desk.file, url, first, last, desk)
    file = source if isinstance(source, PlanFile) else PlanFile(source)
    return PlaceWeather(file, url, first, last)


class PlaceWeather:
    """The form; made by `place_weather`.

    Attributes
    ----------
    widget : ipywidgets.Widget
    """

    def __init__(self, file, url, first, last, desk=None):
        self.file, self._asked, self._desk = file, (url, first, last), desk
        self._changes, self._years = {}, ""
        looks = Looks()
        self.place = widgets.Text(description="Name of the place", value=file.plan.name)
        self.latitude = widgets.Text(description="Latitude", placeholder="such as 36.1")
        self.longitude = widgets.Text(description="Longitude", placeholder="such as -79.9")
        self.service = widgets.Dropdown(description="From", options=SERVICES)
        self.horizon = widgets.Checkbox(description="Far hills for the arrays too", value=False)
        for field in (self.place, self.latitude, self.longitude, self.service, self.horizon):
            field.style.description_width = "11em"
        self.fetch_button = looks.button("Fetch the weather of this place", self.fetch)
        self.use_button = looks.button("Use it in the plan", self.use)
        self.use_button.layout = widgets.Layout(width="auto", display="none")
        self._bar = widgets.IntProgress(min=0, max=1, value=0)
        self._bar.layout.display = "none"
        self._status = looks.text(kind="hs-status")
        self.widget = looks.box(
            [
                looks.text(f"<style>{CSS}</style>"),
                *(self.place, self.latitude, self.longitude, self.service, self.horizon),
                looks.box([self.fetch_button, self.use_button], "hs-bar", across=True),
                *(self._bar, self._status),
            ],
            "hs-form",
        )
        self.status = ""
        if file.is_demo:
            self.say("The demo keeps its weather. Make your own plan with: homestead new FOLDER")

    def _ipython_display_(self):
        view = {"version_major": 2, "version_minor": 0, "model_id": self.widget.model_id}
        display({VIEW: view}, raw=True)

    def fetch(self):
        """Fetch the years of the place, and show what they would change."""
        self.use_button.layout.display = "none"
        if self.file.is_demo:
            return
        try:
            latitude, longitude = (
                _degrees("latitude", self.latitude),
                _degrees("longitude", self.longitude),
            )
            url, first, last = self._asked
            self._bar.layout.display = ""
            folder = self.file.path.resolve().parent
            found = own_weather.fetch(
                latitude, longitude, folder, self.service.value, first, last, self.place.value,
                None, self._progress, url,
            )  # fmt: skip
            heights = own_weather.horizon(latitude, longitude, url) if self.horizon.value else ()
            self._changes = own_weather.changes_of(self.file, found, heights)
        except ValueError as error:
            self.say(f"{str(error)[:1].upper()}{str(error)[1:]}.", is_alert=True)
            return
        finally:
            self._bar.layout.display = "none"
        self._years = f"{len(found.years)} years, {found.years[0]} to {found.years[-1]}"
        lines = own_weather.told(self.file, self._changes)
        self.say(f"Fetched and kept: {self._years}. {own_weather.KNOWN_GAPS}", lines)
        self.use_button.layout.display = ""

    def use(self):
        """Put what was fetched into the plan and save it."""
        try:
            self.file.reload()
            self.file.set_all(self._changes)
            self.file.save(note=f"weather of {self.place.value}: {self._years}")
        except PlanError as error:
            self.say(f"Not saved: {error}", is_alert=True)
            return
        self.use_button.layout.display = "none"
        if self._desk is not None:
            self._desk.changed(self.file.plan)
        self.say("Saved. Everything here now uses this weather.")

    def _progress(self, done, total, words):
        self._bar.max, self._bar.value = total, done
        self.say(f"{done} of {total}: {words}")

    def say(self, text, lines=(), is_alert=False):
        """Show a sentence, and lines below it."""
        self.status = text
        role, kind = ("alert", ' class="hs-wrong"') if is_alert else ("status", "")
        listed = "".join(f"<li>{html_text(line)}</li>" for line in lines)
        more = f"<p>This would change in your plan:</p><ul>{listed}</ul>" if listed else ""
        self._status.value = f'<p role="{role}"{kind}>{html_text(text)}</p>{more}'


def _degrees(name, field):
    try:
        return float(field.value.strip().rstrip("°"))
    except ValueError:
        raise ValueError(
            f"{name} must be degrees as a number, such as 36.1; got {field.value!r}"
        ) from None
