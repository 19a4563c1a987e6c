"""Hourly weather of a place: read a common file, draw many years from it, lay rain on them.

Owns the checked hourly form that every later room relies on: whole years of 8760 hours, local
standard time, stamp = start of the hour. It does not know the plan, and it fetches nothing.
"""

from homestead.weather.files import read
from homestead.weather.hourly import Site, Weather, WeatherError
from homestead.weather.rain import rain_on_cloudy_days
from homestead.weather.years import many_years

__all__ = ["Site", "Weather", "WeatherError", "many_years", "rain_on_cloudy_days", "read"]
