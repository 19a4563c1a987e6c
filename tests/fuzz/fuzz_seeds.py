"""Where fuzzing starts: whole plans, their parts alone, and weather files of every format."""

import sys
import tomllib
from pathlib import Path

from homestead import reference
from homestead.plan.schema import Plan, part_type, top_key
from homestead.units import EXAMPLES

ROOT = Path(__file__).resolve().parents[2]
SHIPPED = ("demo", "cabin", "cold-coast")


def plan_texts():
    """The shipped plans as text, by name."""
    return {
        name: reference.shipped("data", name, "plan.toml").read_text(encoding="utf-8")
        for name in SHIPPED
    }


def plain_plans():
    """The shipped plans as plain data."""
    return [tomllib.loads(text) for text in plan_texts().values()]


def part_texts():
    """Every part of every shipped plan alone, as it stands in the file."""
    for text in plan_texts().values():
        for block in text.split("\n["):
            yield "[" + block.lstrip("[") if block.startswith(("[", "")) else block


def words():
    """Keys, units and marks that a mutation may put in: a dictionary for the fuzzer."""
    keys = set()
    for name in Plan.model_fields:
        keys.add(top_key(name))
        part, _ = part_type(name)
        if part:
            keys |= {field.alias or key for key, field in part.model_fields.items()}
    marks = ["[[", "]]", "[", "]", "{", "}", " = ", '"""', "'''", "\n", "\r\n", "#", "\\u0000"]
    texts = [example.split('"')[1] for example in EXAMPLES.values() if '"' in example]
    odd = ["\ufeff", "e\u0301", "\u202e", "nan", "inf", "-inf", "1e999", "0x7fffffffffffffff"]
    odd += ["1979-05-27T07:32:00Z", "true", "__import__", "<script>", "../", "%s", "{0}"]
    return sorted(keys) + marks + texts + odd


def weather_files(folder, rows_n=None):
    """Files of every format in a folder, cut to some rows; their paths."""
    sys.path.insert(0, str(ROOT / "tests" / "weather"))
    import test_weather_files as writers

    from homestead.weather import read

    truth = read("greensboro-nc").hourly[writers.COLUMNS]
    rows = writers.rows_of(truth, 2001)[:rows_n]
    universal = writers.to_utc(rows)
    folder = Path(folder)
    return [
        writers.write_tmy3(rows, folder / "tmy3.csv"),
        writers.write_epw(rows, folder / "epw.epw"),
        writers.write_nsrdb(rows, folder / "nsrdb.csv"),
        writers.write_pvgis_tmy_csv(universal, folder / "pvgis_tmy.csv"),
        writers.write_pvgis_tmy_json(universal, folder / "pvgis_tmy.json"),
        writers.write_pvgis_hourly_csv(universal, folder / "pvgis_hourly.csv"),
        writers.write_pvgis_hourly_json(universal, folder / "pvgis_hourly.json"),
        _tmy2(folder / "tmy2.tm2", rows_n),
    ]


def _tmy2(path, rows_n):
    import pvlib

    installed = Path(pvlib.__file__).parent / "data" / "12839.tm2"
    lines = installed.read_bytes().split(b"\n")
    path.write_bytes(b"\n".join(lines[: rows_n + 1] if rows_n else lines))
    return path
