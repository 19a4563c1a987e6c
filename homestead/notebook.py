"""What a notebook's first cell opens, each name loaded when it is first asked for.

Eight notebooks open side by side, each with a kernel of its own: none loads what it doesn't show.
"""

import sys
from importlib import import_module

ROOMS = {
    "forms": "homestead.forms",
    "diagram": "homestead.screen.one_line",
    "figures": "homestead.screen.figures",
    "findings": "homestead.screen.findings",
    "live": "homestead.forms.live",
    "nextsteps": "homestead.screen.nextsteps",
    "notes": "homestead.screen.notes",
    "tables": "homestead.screen.tables",
    "years_line": "homestead.screen.years_line",
    "energy_tables": "homestead.trades.power.tables",
    "limits": "homestead.trades.power.limit_tables",
    "water_tables": "homestead.trades.water.tables",
    "warmth": "homestead.trades.warmth.figures",
    "warmth_tables": "homestead.trades.warmth.tables",
    "work": "homestead.screen.work",
    "workings": "homestead.trades.warmth.workings",
    "food_tables": "homestead.trades.food.tables",
}


def __getattr__(name):
    if name in ROOMS:
        return import_module(ROOMS[name])
    if name == "display":
        return import_module(ROOMS["live"]).display
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def _tables_as_text(table):
    """HTML of a pandas table in which a notebook finds no formula between two dollar signs."""
    from homestead.shown import no_formulas

    html = table._repr_html_()
    return None if html is None else no_formulas(html)


def _show_tables_as_text():
    interactive = sys.modules.get("IPython")
    shell = interactive.get_ipython() if interactive else None
    if shell is not None:
        for module in ("pandas.core.frame", "pandas"):
            formatter = shell.display_formatter.formatters["text/html"]
            formatter.for_type_by_name(module, "DataFrame", _tables_as_text)


_show_tables_as_text()
