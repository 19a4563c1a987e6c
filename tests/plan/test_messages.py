"""What is said of a wrong value is short, whatever the value and wherever it stands."""

import copy
import tomllib

import pytest
from small_plans import SMALLEST

from homestead.plan import demo_path
from homestead.plan.schema import Plan, part_type, read_plan, top_key

MOST = 200
HOSTILE = (
    *("", "x" * 5000, "wombat", "5 parsecs", "12", "3,4 ft", "1e400 ft", "Nov-Smarch", "99-12"),
    *("9" * 4000, "pond trout", -1, 1e308, float("nan"), True, [], ["a"] * 900, [1] * 12, {}),
    *({"value": "5"}, {"value": "5 ft", "low": "9 ft"}, {"vlaue": 3}),
)
RAW = tomllib.loads(demo_path().read_text(encoding="utf-8"))
ENTRIES = [
    (name, field.alias or field_name)
    for name in Plan.model_fields
    for part in [part_type(name)[0]]
    for field_name, field in (part.model_fields if part else {"": Plan.model_fields[name]}).items()
]


def with_value(name, entry, value, raw=RAW):
    raw, key = copy.deepcopy(raw), top_key(name)
    part, is_list = part_type(name)
    if part is None:
        raw[key] = value
    elif is_list:
        raw.setdefault(key, [{}])[0][entry] = value
    else:
        raw.setdefault(key, {})[entry] = value
    return raw


@pytest.mark.longer_at_night
@pytest.mark.parametrize("name", list(Plan.model_fields))
def test_no_message_is_long(name, at_night):
    """By day in a small plan, in which a part holds nothing else; at night in the demo."""
    raw, told = RAW if at_night else SMALLEST, 0
    for part, entry in ENTRIES:
        if part == name:
            for value in HOSTILE:
                _, faults = read_plan(with_value(name, entry, value, raw))
                told += len(faults)
                for one in faults:
                    assert len(one.message) <= MOST, (name, entry, one.message)
    assert told > 0


def test_an_unknown_word_is_answered_by_the_nearest_and_where_the_list_is():
    _, (fault, *_) = read_plan(with_value("animals", "kind", "laying hem"))
    assert "laying hen" in fault.message and "the form lists all" in fault.message
