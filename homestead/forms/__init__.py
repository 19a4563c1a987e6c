"""Forms made from the schema of the plan: type, see what is wrong, see what it changes.

This package is the only place that knows ipywidgets. What a form needs stands in
`homestead.screen.entries`, what follows a change in `homestead.forms.live`.
"""

from homestead.forms.asking import Asking, first_questions, share, today
from homestead.forms.field import NEW
from homestead.forms.looks import VIEW
from homestead.forms.place_weather import PlaceWeather, place_weather
from homestead.forms.sheet import DEMO_MARK, Form, form

__all__ = [
    "DEMO_MARK",
    "NEW",
    "VIEW",
    "Asking",
    "Form",
    "PlaceWeather",
    "first_questions",
    "form",
    "place_weather",
    "share",
    "today",
]
