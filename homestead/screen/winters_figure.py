"""What the winters of a place are like: a strip of days for each of twenty."""

import matplotlib
import numpy as np
import pandas as pd

from homestead import units as measures
from homestead.outlook.independence import day_text
from homestead.screen.picture import COLOR, INK, Picture, canvas, styled
from homestead.screen.readable import count_text, date_text
from homestead.simulate.inputs import weather_years
from homestead.vocabulary import MONTHS

WINTERS_N = 20
FORTNIGHT_DAYS = 14
# November to February, and half a year later south of the equator; days of the year from 0.
WINTER = {False: np.r_[304:365, 0:59], True: np.r_[120:243]}


def winters_of(plan, winters_n=WINTERS_N):
    """Days of some winters, and the darkest and the coldest fortnight of each.

    Gives (sun_frac, fortnights, days): Sun of each day over that of an average winter day, shape
        (winters, days); a frame with dark_at, dark_frac, cold_at [days from the winter's first] and
        cold_c; and the days of the year from 0.
    """
    years = weather_years(plan, max(plan.site.years_n, 2))[: winters_n + 1]
    days = WINTER[years[0].site.latitude_deg < 0]
    sun, air = (
        np.array([year.hourly[name].to_numpy().reshape(365, 24).mean(axis=1) for year in years])
        for name in ("ghi_w_m2", "air_c")
    )
    rolls = days[0] > days[-1]  # a winter goes on into the year that follows
    winters = max(len(years) - 1, 1) if rolls else len(years)
    winters = min(winters, winters_n)

    def of(table):
        after = np.roll(table, -1, axis=0) if rolls else table
        return np.where(days >= 180, table[:, days], after[:, days])[:winters]

    sun, air = of(sun), of(air)
    sun = sun / max(float(sun.mean()), 1e-9)
    run = np.ones(FORTNIGHT_DAYS) / FORTNIGHT_DAYS
    dark, cold = (
        np.array([np.convolve(winter, run, "valid") for winter in table]) for table in (sun, air)
    )
    found = pd.DataFrame(
        {
            "dark_at": dark.argmin(axis=1),
            "dark_frac": dark.min(axis=1),
            "cold_at": cold.argmin(axis=1),
            "cold_c": cold.min(axis=1),
        }
    )
    return sun, found, days


@styled
def winters(outlook, units=None):
    """Twenty winters of the place, day by day, the darkest and the coldest fortnight marked."""
    plan = outlook.plan
    units = units or plan.units
    sun, found, days = winters_of(plan)
    figure, axis = canvas(tall=True)
    axis.grid(visible=False)
    tones = matplotlib.colors.LinearSegmentedColormap.from_list(
        "sun", [COLOR["water"], "#8a9a9a", COLOR["power"], "#f6efdd"]
    )
    axis.imshow(sun, cmap=tones, vmin=0.0, vmax=2.0, aspect="auto", interpolation="nearest")
    for row, winter in found.iterrows():
        axis.add_patch(
            matplotlib.patches.Rectangle(
                (winter.dark_at - 0.5, row - 0.42), FORTNIGHT_DAYS, 0.84, fill=False,
                edgecolor=INK, linewidth=1.6,
            )
        )  # fmt: skip
        axis.plot(
            [winter.cold_at - 0.5, winter.cold_at + FORTNIGHT_DAYS - 0.5], [row + 0.3] * 2,
            color=COLOR["warmth"], linewidth=2.4, solid_capstyle="butt",
        )  # fmt: skip
    months = [int(day_text(int(day))[:2]) for day in days]
    firsts = [at for at, month in enumerate(months) if at == 0 or months[at - 1] != month]
    axis.set_xticks(firsts, [MONTHS[months[at] - 1] for at in firsts], ha="left")
    axis.set_yticks([0, len(sun) - 1], ["1", str(len(sun))])
    axis.set_ylabel("winter")
    axis.set_xlabel(
        "each square a day: dark is dull, light is clear\nbox: darkest two weeks; red: coldest two"
    )
    worst, coldest = found.dark_frac.idxmin(), found.cold_c.idxmin()
    share = round(float(found.dark_frac[worst]) * 100)
    shown = measures.show(round(float(found.cold_c[coldest])), "temperature", units)
    typical = round(float(found.dark_frac.median()) * 100)
    alt = (
        f"{count_text(len(sun), 'winter')} of this place, day by day: the darkest two weeks "
        f"bring {share} % of an average winter day's sun, in an ordinary winter "
        f"{typical} %, and the coldest two weeks average {shown}."
    )

    def date(at):
        return date_text(day_text(int(days[int(at)])))

    cold = f"Average then ({measures.shown_unit('temperature', units)})"
    table = pd.DataFrame(
        {
            "Darkest two weeks from": [date(at) for at in found.dark_at],
            "Sun then (% of a winter day)": (found.dark_frac * 100).round().astype(int),
            "Coldest two weeks from": [date(at) for at in found.cold_at],
            cold: [round(float(measures.convert(c, "temperature", units))) for c in found.cold_c],
        }
    )
    table.index = pd.RangeIndex(1, len(table) + 1, name="Winter")
    title = f"The darkest two weeks bring {share} % of a winter day's sun"
    return Picture(figure, title, alt, table)
