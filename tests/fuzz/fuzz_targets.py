"""What must hold for any bytes at all. Each target takes bytes and fails only by an exception.

The same targets run in the test run (bounded, fed by hypothesis) and by hand for hours (fed by
atheris, see run_fuzz.py). None of them may raise anything, hang, or write outside its folder.
"""

import atexit
import copy
import math
import shutil
import struct
import tempfile
import time
from functools import cache
from pathlib import Path

import fuzz_seeds

from homestead import units
from homestead.plan import PlanError, PlanFile, layout
from homestead.plan.fields import BASES, ROUNDING_FRAC, kind_of, read_entry
from homestead.plan.file import describe
from homestead.plan.schema import Plan, _read_part, part_type, read_plan, top_key

SLOWEST_S = 10.0  # on a busy machine; what is meant is far below a second
LONGEST_MESSAGE = 200_000


@cache
def folder(use):
    """Scratch folder of this process for one use, in memory where the system has such a place."""
    memory = Path("/dev") / "shm"
    made = Path(tempfile.mkdtemp(prefix="fuzz-", dir=memory if memory.is_dir() else None))
    atexit.register(shutil.rmtree, made, ignore_errors=True)
    return made


class Choices:
    """Decisions read off some bytes; zeros when they are used up."""

    def __init__(self, data):
        self.data, self.at = bytes(data), 0

    def take(self, count):
        piece = self.data[self.at : self.at + count]
        self.at += count
        return piece

    def below(self, limit):
        return int.from_bytes(self.take(2).ljust(2, b"\0"), "little") % limit

    def of(self, many):
        return many[self.below(len(many))]

    def text(self):
        return self.take(self.below(60)).decode("utf-8", "replace")

    def number(self):
        return struct.unpack("<d", self.take(8).ljust(8, b"\0"))[0]

    @property
    def is_over(self):
        return self.at >= len(self.data)

    def value(self, depth=0):
        """Anything that TOML, or a form, may hand over."""
        kind = self.below(14)
        if kind == 0:
            return self.text()
        if kind == 1:
            return int.from_bytes(self.take(self.below(40)), "little", signed=True)
        if kind == 2:
            return self.number()
        if kind == 3:
            return self.of([True, False, math.nan, math.inf, -math.inf, 0, -1, "", " ", "\x00"])
        if kind in (4, 5):
            return f"{self.of(['', '-', '+', '1/'])}{self.below(9999)}{self.of(UNITS)}"
        if kind == 6 and depth < 3:
            return [self.value(depth + 1) for _ in range(self.below(14))]
        if kind == 7 and depth < 3:
            table = {"value": self.value(depth + 1), "basis": self.of(BASES)}
            table |= {"low": self.value(depth + 1), "high": self.value(depth + 1)}
            return {key: table[key] for key in list(table)[: 1 + self.below(4)]}
        if kind == 8 and depth < 3:
            return {self.text(): self.value(depth + 1) for _ in range(self.below(4))}
        if kind == 9:
            return f"{self.number()!r} {self.of(UNITS)}"
        return self.of(WORDS)


WORDS = fuzz_seeds.words()
UNITS = sorted({text.partition(" ")[2] for text in WORDS if text[:1].isdigit()} | {" ft", "%", ""})


def plan_text(data):
    """Any bytes as a plan file: a plan, or a PlanError that names the file, in bounded time."""
    path = folder("text") / "plan.toml"
    path.write_bytes(data)
    begun = time.process_time()
    try:
        opened = PlanFile(path)
    except PlanError as error:
        told = str(error)
        assert "plan.toml" in told
        assert len(told) < LONGEST_MESSAGE
    else:
        assert not opened.is_changed
        assert opened.plan.people
    assert time.process_time() - begun < SLOWEST_S
    assert path.read_bytes() == data
    assert [one.name for one in folder("text").iterdir()] == ["plan.toml"]


@cache
def _entries():
    found = []
    for name in Plan.model_fields:
        part, _ = part_type(name)
        for key, field in (part.model_fields if part else {name: Plan.model_fields[name]}).items():
            if kind := kind_of(field):
                found.append((key, kind.name, field.json_schema_extra or {}))
    return found


def entry(data):
    """Anything in one entry: a value within its limits, or a ValueError that says what is wrong."""
    choices = Choices(data)
    _, kind, limits = choices.of(_entries())
    raw = choices.text() if choices.below(2) else choices.value()
    try:
        value = read_entry(raw, kind, limits)
    except ValueError as error:
        assert 1 <= len(str(error)) < 3000
        return
    low, high = limits.get("low"), limits.get("high")
    if isinstance(value, float | int) and not isinstance(value, bool):
        assert math.isfinite(value)
        slack = ROUNDING_FRAC * max(abs(low or 0.0), abs(high or 0.0))
        assert low is None or value >= low - slack
        assert high is None or value <= high + slack
        if kind in units.KINDS:
            assert units.show(value, kind, "us") and units.show(value, kind, "metric")


@cache
def _parts():
    found = []
    for raw in fuzz_seeds.plain_plans():
        for name in Plan.model_fields:
            part, listed = part_type(name)
            members = raw.get(top_key(name), [])
            for one in members if listed else [members]:
                if part and one:
                    found.append((part, top_key(name), one))
    return found


def part(data):
    """Anything in some entries of a part: the part, or faults, each with place and message."""
    choices = Choices(data)
    cls, key, raw = choices.of(_parts())
    raw = dict(raw)
    for _ in range(1 + choices.below(4)):
        at = choices.of([*raw, *cls.model_fields, choices.text()])
        raw[at] = choices.value()
    value, faults = _read_part(cls, raw, (key,))
    assert (value is None) == bool(faults)
    for fault in faults:
        assert fault.where[0] == key and 1 <= len(fault.message) < 5000


@cache
def _plain():
    return fuzz_seeds.plain_plans()


def plan_values(data):
    """Anything in some entries of a whole plan: the plan, or faults that can be told."""
    choices = Choices(data)
    raw = copy.deepcopy(_plain()[1 + choices.below(2)])
    for _ in range(1 + choices.below(5)):
        key = choices.of(list(raw)) if choices.below(8) else choices.text()
        inner = raw.get(key)
        if isinstance(inner, list) and inner and choices.below(4):
            inner = choices.of(inner)
        if isinstance(inner, dict) and choices.below(8):
            inner[choices.of([*inner, choices.text()])] = choices.value()
        elif isinstance(inner, list) and choices.below(2):
            inner.append(choices.value())
        else:
            raw[key] = choices.value()
    plan, faults = read_plan(raw)
    assert (plan is None) == bool(faults)
    told = describe(faults, "plan.toml", "")
    assert len(told) < LONGEST_MESSAGE and told.count("\n") == max(0, len(faults) - 1)


def edits(data):
    """Any edits of a plan: each holds, and what is written reads back the same, or a PlanError."""
    choices = Choices(data)
    path = folder("edits") / "plan.toml"
    path.write_text(fuzz_seeds.plan_texts()["cabin"], encoding="utf-8")
    opened = PlanFile(path)
    for _ in range(1 + choices.below(4)):
        key = choices.of(list(opened.raw()))
        members = opened.raw()[key]
        members = members if isinstance(members, list) else []
        names = [one["name"] for one in members if isinstance(one, dict) and "name" in one]
        name = choices.of(names) if names and choices.below(6) else choices.text()
        place = choices.of([key, f"{key}.{choices.of(WORDS)}", f"{key}.{name}.{choices.of(WORDS)}"])
        steps = (
            lambda: opened.set(place, choices.value()),  # noqa: B023
            lambda: opened.set(place, None),  # noqa: B023
            lambda: opened.add(key, choices.value()),  # noqa: B023
            lambda: opened.remove(key, name),  # noqa: B023
            lambda: opened.rename(key, name, choices.text()),  # noqa: B023
        )
        before = opened.raw()
        try:
            choices.of(steps)()
        except PlanError as error:
            assert 1 <= len(str(error)) < LONGEST_MESSAGE
            assert opened.raw() == before
    opened.save()
    again = PlanFile(path)
    assert again.raw() == opened.raw()
    for older in opened.revisions():
        older.unlink()


def layout_text(data):
    """Lines of any text at all are numbered without a fault and in bounded time."""
    text = data.decode("utf-8", "replace")
    begun = time.process_time()
    found = layout.line_numbers(text)
    assert time.process_time() - begun < SLOWEST_S
    assert all(1 <= line <= text.count("\n") + 1 for line in found.values())


def weather_text(data):
    """Any bytes as a weather file: weather, or a WeatherError that names the file."""
    _read_weather(data)


def _read_weather(data):
    from homestead.weather import WeatherError, read

    path = folder("weather") / "weather.csv"
    path.write_bytes(data)
    begun = time.process_time()
    try:
        weather = read(path)
    except WeatherError as error:
        assert "weather.csv" in str(error) and len(str(error)) < 2000
    else:
        assert len(weather.hourly) == 8760 * weather.years_n
        assert not weather.hourly.isna().any().any()
    finally:
        path.unlink()
    assert time.process_time() - begun < SLOWEST_S


@cache
def _whole_weather():
    made = folder("weather") / "whole"
    made.mkdir()
    found = [path.read_bytes() for path in fuzz_seeds.weather_files(made)]
    shutil.rmtree(made)
    return found


def weather_whole(data):
    """A whole year's file with some pieces spoilt: weather, or a WeatherError."""
    choices = Choices(data)
    content = bytearray(choices.of(_whole_weather()))
    for _ in range(choices.below(6)):
        if not content:
            break
        at = int.from_bytes(choices.take(4), "little") % len(content)
        at = at % 2000 if choices.below(3) == 0 else at  # the heading more often than its share
        length = choices.below(80) if choices.below(12) else choices.below(60_000) * 16
        content[at : at + length] = choices.take(choices.below(30))
    _read_weather(bytes(content))


TARGETS = {
    one.__name__: one
    for one in (
        *(plan_text, entry, part, plan_values, edits, layout_text),
        *(weather_text, weather_whole),
    )
}
