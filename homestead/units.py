"""Text with units to SI numbers at the edges, and back.

Inside, everything is SI with two declared exceptions: temperature in deg C, energy in Wh (a mean
watt over one hour is a watt-hour). Angles stay in degrees, money in the plan's own currency and
food energy in kcal, as their names say. Conversion factors live here (in pint) and nowhere else.
"""

import math
import re
from functools import cache, lru_cache

import numpy as np

# kind -> (unit inside, unit shown in US customary, unit shown in metric)
KINDS = {
    "length": ("m", "ft", "m"),
    "area": ("m^2", "ft^2", "m^2"),
    "volume": ("m^3", "gal", "L"),
    "air_volume": ("m^3", "ft^3", "m^3"),
    "flow": ("m^3/s", "gal/min", "L/min"),
    "pressure": ("Pa", "psi", "kPa"),
    "power": ("W", "W", "W"),
    "energy": ("Wh", "kWh", "kWh"),
    "temperature": ("degC", "degF", "degC"),
    "temperature_difference": ("delta_degC", "delta_degF", "delta_degC"),
    "mass": ("kg", "lb", "kg"),
    "time": ("s", "h", "h"),
    "speed": ("m/s", "mi/h", "m/s"),
    "thermal_resistance": ("m^2*K/W", "ft^2*delta_degF*h/Btu", "m^2*K/W"),
    "heat_loss": ("W/K", "Btu/h/delta_degF", "W/K"),
    "heat_capacity": ("Wh/K", "Btu/delta_degF", "Wh/K"),
    "angle": ("deg", "deg", "deg"),
    "current": ("A", "A", "A"),
    "voltage": ("V", "V", "V"),
    "rain_depth": ("m", "in", "mm"),
    "food_energy": ("kcal", "kcal", "kcal"),
    "charge": ("A*h", "A*h", "A*h"),
    "money": ("", "", ""),
    "fraction": ("", "", ""),
}

# How a unit is written for people, where pint's own spelling is not what a label says.
SPOKEN = {
    "ft^2": "ft²",
    "m^2": "m²",
    "ft^3": "ft³",
    "m^3": "m³",
    "degF": "°F",
    "degC": "°C",
    "delta_degF": "°F",
    "delta_degC": "°C",
    "mi/h": "mph",
    "ft^2*delta_degF*h/Btu": "ft²·°F·h/Btu",
    "m^2*K/W": "m²·K/W",
    "Btu/h/delta_degF": "Btu/h·°F",
    "Btu/delta_degF": "Btu/°F",
    "A*h": "Ah",
    "deg": "°",
    "Wh/K": "Wh/K",
}

# What people write -> what pint reads. Longest first, whole words only.
WRITTEN = {
    "square feet": "ft^2",
    "square foot": "ft^2",
    "sq ft": "ft^2",
    "sqft": "ft^2",
    "cubic feet": "ft^3",
    "cubic foot": "ft^3",
    "cu ft": "ft^3",
    "gallons per minute": "gal/min",
    "litres per minute": "L/min",
    "liters per minute": "L/min",
    "gpm": "gal/min",
    "cfm": "ft^3/min",
    "mph": "mi/h",
    "us gal": "gal",
    "gallons": "gal",
    "litres": "L",
    "litre": "L",
    "cords": "cord",
    "pounds": "lb",
    "lbs": "lb",
    "inches": "in",
    "hours": "h",
    "hrs": "h",
    "hr": "h",
    "days": "day",
    "mins": "min",
    "minutes": "min",
    "weeks": "week",
    "amps": "A",
    "amp": "A",
    "volts": "V",
    "watts": "W",
    "Cal": "kcal",
    "BTU": "Btu",
    "btu": "Btu",
    "BTUH": "Btu/h",
    "Btuh": "Btu/h",
    "kwh": "kWh",
    "kw": "kW",
    "Ah": "A*h",
    "psig": "psi",
}

# Of these, letters of another case still mean the same: "KW", "PSI", "Gal". Not the ones where a
# large letter is another unit (mega and milli).
ANY_CASE = (
    *("kW", "W", "kWh", "Wh", "Btu", "Btu/h", "hp", "ton", "tons", "V", "kV", "A", "mA", "Ah"),
    *("ft", "in", "yd", "mi", "m", "cm", "mm", "km", "acre", "acres", "ha", "sq ft", "cu ft"),
    *("ft2", "ft²", "ft^2", "m2", "m²", "m^2", "ft3", "ft³", "ft^3", "m3", "m³", "m^3"),
    *("gal", "gallon", "gallons", "qt", "pint", "cup", "L", "mL", "liter", "liters", "litre"),
    *("cord", "cords", "gpm", "gal/min", "gal/h", "L/min", "L/s", "cfm", "psi", "psig", "kPa"),
    *("Pa", "bar", "lb", "lbs", "oz", "kg", "g", "tonne", "h", "hr", "hrs", "min", "s", "day"),
    *("days", "week", "weeks", "mph", "kcal", "deg", "degrees", "hours", "minutes", "pounds"),
)
_SPELLED = {spelled.casefold(): spelled for spelled in reversed(ANY_CASE)}
# On a label for food a calorie is a kilocalorie (21 CFR 101.9(c)(1)).
FOOD_CALORIES = ("calories", "calorie", "cal", "cals", "kilocalories", "kilocalorie")

# Commas only between thousands: "4,5 m" would otherwise pass for 45 m.
_DIGITS = r"(?:\d{1,3}(?:,\d{3})+|\d+)"
_NUMBER = re.compile(
    rf"^\s*([+-]?(?:{_DIGITS}(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{{1,3}})?)\s*(.*?)\s*$"
)
_FRACTION = re.compile(r"^\s*(?:(\d{1,6})[\s-]+)?(\d{1,6})\s*/\s*(\d{1,6})\s*(?=[A-Za-z])(.*?)\s*$")
_UNIT_TEXT = re.compile(r"^[A-Za-z0-9_·*/^²³°%$€£ .()-]{0,40}$")
# Powers of two digits, or a power of a power: pint would work out 9**9**9 before it complains.
_LONG_POWER = re.compile(r"[\^*]\s*-?\d{2,}|[\d)]\s*(?:\^|\*\*)")
_US_R = re.compile(r"^\s*[Rr]\s*-?\s*(\d+(?:\.\d+)?)\s*$")
# "3.000" is three to one reader and three thousand to another; nobody measures to such a zero.
_THOUSANDS = re.compile(r"^\s*\D{0,4}[1-9]\d{0,2}\.\d{2}0(?![\d.])")
_MONEY = re.compile(
    rf"^\s*(?:[$€£]|[A-Z]{{3}})?\s*({_DIGITS}(?:\.\d*)?)\s*(?:[$€£]|[A-Z]{{3}})?\s*$"
)


@cache
def _registry():
    import pint
    import platformdirs

    # Reading its own list of units takes pint longer than all else that a plan asks of it.
    folder = platformdirs.user_cache_path("homestead", appauthor=False) / "units"
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        registry = pint.UnitRegistry(autoconvert_offset_to_baseunit=False, cache_folder=folder)
    except Exception:  # nothing can be written there, or what is there can't be read
        registry = pint.UnitRegistry(autoconvert_offset_to_baseunit=False)
    # A stacked cord is 4 ft x 4 ft x 8 ft (NIST Handbook 130, method of sale of fireplace wood).
    registry.define("cord = 128 * foot ** 3")
    # The international acre, whichever of the two feet a version of pint takes it from.
    registry.define("acre = 43560 * foot ** 2")
    return registry


@cache
def _unit(text):
    """One of our own unit spellings, as pint reads it."""
    return _registry().Unit(text)


def _read_unit(text, kind):
    """Turn what a person wrote after the number into a pint unit; ValueError if it cannot be."""
    if not _UNIT_TEXT.match(text) or _LONG_POWER.search(text):
        raise ValueError(f"{text!r} is not a unit")
    if kind in ("temperature", "temperature_difference"):
        letter = text.replace("°", "").replace("deg", "").strip().upper()
        names = {"F": "degF", "C": "degC", "K": "kelvin"}
        if letter not in names:
            raise ValueError(f"{text!r} is not a temperature unit")
        name = names[letter]
        if kind == "temperature_difference" and name != "kelvin":
            name = f"delta_{name}"
        return _unit(name)
    if kind == "power" and text in ("ton", "tons"):
        # One ton of refrigeration is 12,000 Btu/h (ANSI/ASHRAE terminology).
        return _unit("refrigeration_ton")
    if kind == "angle" and text in ("°", "deg", "degrees"):
        return _unit("deg")
    if kind == "food_energy" and text.casefold() in FOOD_CALORIES:
        return _unit("kcal")
    # "Btu/h·°F" means per hour and per degree: a dot after the slash divides too.
    above, slash, below = text.replace("²", "^2").replace("³", "^3").partition("/")
    clean = above.replace("·", "*") + slash + below.replace("·", "/")
    for written, read in sorted(WRITTEN.items(), key=lambda pair: -len(pair[0])):
        clean = re.sub(rf"(?<![A-Za-z_]){re.escape(written)}(?![A-Za-z_])", read, clean)
    if kind in ("thermal_resistance", "heat_loss", "heat_capacity"):
        clean = re.sub(r"(?:°|deg_?)?(?<![A-Za-z_])F(?![A-Za-z_])", "delta_degF", clean)
        clean = re.sub(r"(?:°|deg_?)C(?![A-Za-z_])", "delta_degC", clean)
    clean = re.sub(r"(?<![A-Za-z_])(ft|m|in|cm|mm)([23])(?![0-9])", r"\1^\2", clean)
    try:
        return _registry().Unit(clean)
    except Exception as error:  # pint raises many kinds, some of them not its own
        raise ValueError(f"{text!r} is not a unit that this program knows") from error


def _example(kind):
    return EXAMPLES.get(kind, "a number with a unit")


EXAMPLES = {
    "length": '"220 ft" or "67 m"',
    "area": '"1400 ft²" or "130 m²"',
    "volume": '"2500 gal" or "9500 L"',
    "air_volume": '"11000 ft³" or "310 m³"',
    "flow": '"4.5 gal/min" or "17 L/min"',
    "pressure": '"40 psi" or "276 kPa"',
    "power": '"450 W", "9 kW" or "40000 Btu/h"',
    "energy": '"4.8 kWh" or "480 Wh"',
    "temperature": '"68 °F" or "20 °C"',
    "temperature_difference": '"10 °F" or "5.5 °C"',
    "mass": '"50 lb" or "23 kg"',
    "time": '"4 h", "30 min" or "3 days"',
    "speed": '"10 mph" or "4.5 m/s"',
    "thermal_resistance": '"R-19" or "3.3 m²·K/W"',
    "heat_loss": '"450 Btu/h·°F" or "240 W/K"',
    "heat_capacity": '"9000 Btu/°F" or "4700 Wh/K"',
    "angle": '"35 deg"',
    "current": '"13.9 A"',
    "voltage": '"49.5 V"',
    "rain_depth": '"3.4 in" or "86 mm"',
    "food_energy": '"2000 kcal"',
    "charge": '"225 Ah"',
    "money": '"$1,200" or "1200 EUR"',
    "fraction": '0.8 or "80 %"',
}


def parse(text, kind):
    """Read a quantity as a person writes it.

    text (str) : A number and its unit, such as ``"220 ft"``, ``"1-1/4 in"``, ``"R-19"`` or
        ``"$1,200"``. Kind ``"fraction"`` also takes a bare number.
    kind (str) : One of `KINDS`.
    Gives the value in the unit used inside (`KINDS`): SI, but deg C, Wh, degrees of angle, kcal.

    Raises ValueError if the kind is unknown, the text is not a number with a unit, the unit is of
        another kind, or the number is not finite.

    >>> round(parse("220 ft", "length"), 3)
    67.056
    >>> round(parse("R-19", "thermal_resistance"), 3)
    3.346
    """
    if kind not in KINDS:
        raise ValueError(f"kind must be one of {', '.join(KINDS)}; got {kind!r}")
    if kind == "fraction" and isinstance(text, int | float) and not isinstance(text, bool):
        return _finite(text, text, kind)
    if not isinstance(text, str) or len(text) > 80:
        raise ValueError(_wrong(text, kind))
    return _parse_text(text.replace("\N{MINUS SIGN}", "-"), kind, text)


def _wrong(given, kind):
    return f"must be a number with its unit, such as {_example(kind)}; got {quoted(given)}"


@lru_cache(maxsize=4096)
def _parse_text(text, kind, given):
    if kind == "money":
        if match := _THOUSANDS.match(text):
            raise ValueError(_asked(text, match))
        match = _MONEY.match(text)
        if not match:
            raise ValueError(_wrong(given, kind))
        return float(match[1].replace(",", ""))
    if kind == "thermal_resistance" and (match := _US_R.match(text)):
        return float((float(match[1]) * _unit(KINDS[kind][1])).to(_unit(KINDS[kind][0])).magnitude)
    if kind != "fraction" and (match := _THOUSANDS.match(text)):
        raise ValueError(_asked(text, match))
    number, unit_text = _number_and_unit(text, given, kind)
    if kind == "fraction":
        if unit_text not in ("", "%"):
            raise ValueError(_wrong(given, kind))
        return number / 100.0 if unit_text == "%" else number
    if not unit_text:
        raise ValueError(_wrong(given, kind))
    for spelled in dict.fromkeys((unit_text, _SPELLED.get(unit_text.casefold(), unit_text))):
        try:
            quantity = _registry().Quantity(number, _read_unit(spelled, kind))
            inside = quantity.to(_unit(KINDS[kind][0])).magnitude
        except Exception as error:  # wrong dimension, unknown unit, offset unit in a product
            cause = error
        else:
            return _finite(inside, given, kind)
    raise ValueError(_wrong(given, kind)) from cause


def _asked(text, match):
    """What to say where a point may stand between thousands or before decimals."""
    written = match[0].strip()
    before, _, after = written.rpartition(".")
    as_decimal = f"{before}.{after}".rstrip("0").rstrip(".")
    return (
        f"{quoted(text)} may be {as_decimal} or {written.replace('.', '')}: write "
        f"{as_decimal} or {written.replace('.', '')}, without the zeros or without the point"
    )


def _number_and_unit(text, given, kind):
    if match := _FRACTION.match(text):
        whole, over, under, unit_text = match.groups()
        if int(under) == 0:
            raise ValueError(_wrong(given, kind))
        return int(whole or 0) + int(over) / int(under), unit_text
    match = _NUMBER.match(text)
    if not match:
        raise ValueError(_wrong(given, kind))
    return float(match[1].replace(",", "")), match[2]


def _finite(value, given, kind):
    try:
        number = float(value)
    except OverflowError:  # a whole number of hundreds of digits
        raise ValueError(_wrong(given, kind)) from None
    if not math.isfinite(number):
        raise ValueError(_wrong(given, kind))
    return number


def quoted(raw, most=60):
    """Write what came for an error message, short whatever it was.

    >>> quoted("220"), quoted(7), quoted("x" * 99, most=10)
    ('"220"', '7', '"xxxxxxxxx…')
    """
    try:
        written = f'"{_printable(raw[: most + 1])}"' if isinstance(raw, str) else repr(raw)
    except (ValueError, RecursionError):  # a whole number too long to print, a list too deep
        written = f"a {type(raw).__name__} too long to show"
    return written if len(written) <= most else written[:most] + "…"


def _printable(text):
    # Invisible letters are often what is wrong, and a line break would tear the message.
    return "".join(letter if letter.isprintable() else repr(letter)[1:-1] for letter in text)


def shown_unit(kind, units="us"):
    """Unit in which `show` prints this kind, as people write it."""
    unit = KINDS[kind][_column(units)]
    return SPOKEN.get(unit, unit)


def _column(units):
    if units not in ("us", "metric"):
        raise ValueError(f'units must be "us" or "metric"; got {units!r}')
    return 1 if units == "us" else 2


def convert(value, kind, units="us"):
    """Value inside -> number in the shown unit, without rounding; arrays pass through.

    value : In the unit used inside.
    kind (str) : One of `KINDS`.
    units ({"us", "metric"}) : Which unit system a reader sees.
    """
    if kind in ("money", "fraction"):
        return value
    values = np.asarray(value, dtype=float)
    if kind == "temperature":  # a scale with another zero
        quantity = _registry().Quantity(values, _unit(KINDS[kind][0]))
        shown = quantity.to(_unit(KINDS[kind][_column(units)])).magnitude
    else:
        shown = values * _factor(kind, _column(units))
    return float(shown) if np.ndim(shown) == 0 else shown


@cache
def _factor(kind, column):
    """What a value inside is multiplied by to be shown; asking pint each time takes long."""
    return convert_unit(1.0, KINDS[kind][0], KINDS[kind][column])


def convert_unit(value, from_unit, to_unit):
    """Convert between two spelled units, such as a printed table's and ours."""
    return _registry().Quantity(value, _unit(from_unit)).to(_unit(to_unit)).magnitude


def digits(number, significant=3):
    """Write a number with a sensible count of digits and thousands separators.

    >>> digits(12345.6), digits(4.5), digits(0.01234)
    ('12,346', '4.5', '0.0123')
    """
    if not math.isfinite(number):
        return "–"
    if number == 0:
        return "0"
    places = max(0, significant - 1 - math.floor(math.log10(abs(number))))
    written = f"{number:,.{min(places, 6)}f}"
    written = written.rstrip("0").rstrip(".") if "." in written else written
    return "0" if written == "-0" else written


def show(value, kind, units="us"):
    """Write a value for a reader, with its unit and a sensible number of digits.

    value : In the unit used inside.
    kind (str) : One of `KINDS`.
    units ({"us", "metric"}) : Which unit system the reader sees.
    Gives str.

    Raises ValueError if the kind or the unit system is unknown.

    >>> show(67.056, "length"), show(67.056, "length", "metric"), show(20.0, "temperature")
    ('220 ft', '67.1 m', '68 °F')
    """
    if kind not in KINDS:
        raise ValueError(f"kind must be one of {', '.join(KINDS)}; got {kind!r}")
    number = convert(float(value), kind, units)
    if not math.isfinite(number):
        return "–"
    if kind == "money":
        return f"${number:,.0f}"
    if kind == "fraction":
        return f"{digits(number * 100, 2)} %"
    if kind in ("temperature", "temperature_difference"):
        return f"{round(number)} {shown_unit(kind, units)}"
    if kind == "power" and abs(number) >= 10_000:
        return f"{digits(number / 1000)} kW"
    if kind == "angle":
        return f"{digits(number)}°"
    return f"{digits(number)} {shown_unit(kind, units)}"


def significant(number, kept=2):
    """Round a number to so many digits, the large ones too.

    >>> significant(1004.0), significant(0.354), significant(0.0)
    (1000.0, 0.35, 0.0)
    """
    if number == 0 or not math.isfinite(number):
        return float(number)
    return float(round(number, kept - 1 - math.floor(math.log10(abs(number)))))


def rough(value, kind, units="us", kept=2):
    """Write a value that rests on guesses, to the two digits or so that it can carry.

    >>> rough(50_240.0, "power"), rough(7746.0, "power"), rough(0.0, "power")
    ('50 kW', '7,700 W', '0 W')
    """
    number = convert(float(value), kind, units)
    if number == 0 or not math.isfinite(number):
        return show(value, kind, units)
    return show(value * significant(number, kept) / number, kind, units)


def checked(name, value, low, high, unit=""):
    """Array of floats, all within limits, or a ValueError that says what must hold.

    name (str) : The argument's name.
    value : What came.
    low, high : Limits, both allowed; use ``math.inf`` for none.
    unit (str) : Unit of the limits, for the message.
    """
    wanted = f"from {low:g} to {high:g}" if high < math.inf else f"{low:g} or more"
    if low == -math.inf:
        wanted = f"{high:g} or less" if high < math.inf else "a finite number"
    try:
        given = np.asarray(value)
        if given.dtype.kind not in "biufO":  # text such as "5" and dates turn into floats silently
            raise TypeError
        array = given.astype(float, copy=False)
    except (TypeError, ValueError, OverflowError):
        raise ValueError(f"{name} must be {wanted} {unit}".rstrip() + f"; got {value!r}") from None
    # Written this way round so that nan fails too; infinity never passes.
    if not np.all((array >= low) & (array <= high) & np.isfinite(array)):
        raise ValueError(f"{name} must be {wanted} {unit}".rstrip() + f"; got {value!r}")
    return array
