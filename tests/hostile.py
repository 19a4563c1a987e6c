"""A plan whose every text tries to act: for the tests that show that none does."""

import copy

from homestead.plan import demo_path, open_plan
from homestead.plan.fields import key_of, kind_of
from homestead.plan.references import NAMED_BY, follow
from homestead.plan.schema import Plan, part_type, top_key

# One for each way by which text has been known to act on a screen, a page or a figure.
TEXTS = (
    "<img src=x onerror=document.title='acted'>",
    "<script>document.title='acted'</script>",
    "![a](http://127.0.0.1:9/a.png)",
    "[b](javascript:document.title='acted')",
    "$\\alpha$ and $2.60), #2 ($2.90",
    "\\(x\\) {0} {x} %s %(y)d {{ 7*7 }}",
    "</td></table><svg onload=document.title='acted'>",
    "`c` **d** _e_ ~~f~~ | g | # h",
    "=1+1 @SUM(A1) http://127.0.0.1:9/c www.example.org",
    "&lt;b&gt; &#36; \" ' onfocus=document.title='acted'",
    "$$\\frac{1}{0}$$ \\begin{align}x\\end{align}",
    "tank #1 ($2.60), #2 ($2.90)",
)


def hostile(number):
    """One of the texts, made unlike the others of its kind by its number."""
    return f"{TEXTS[number % len(TEXTS)]} {number}"


def text_entries():
    """Every entry of the schema that holds texts: (key of the part, whether a list, entry)."""
    for field in Plan.model_fields:
        part, is_list = part_type(field)
        for entry, declared in part.model_fields.items() if part else ():
            kind = kind_of(declared)
            if kind is not None and kind.name in ("text", "names"):
                yield top_key(field), is_list, key_of(entry), kind.name


def hostile_data():
    """Plain data of the demo with a hostile text in every name, and names followed everywhere."""
    data = copy.deepcopy(open_plan(demo_path()).raw)
    number = 0
    data["name"] = hostile(number)
    for key, members in list(data.items()):
        if not isinstance(members, list):
            continue
        for member in members:
            if not isinstance(member, dict) or "name" not in member:
                continue
            number += 1
            old, new = member["name"], hostile(number)
            if key in NAMED_BY:
                follow(data, key, old, new)
            member["name"] = new
    data["site"] = data["site"] | {"years": 1}  # names are the same in one year as in thirty
    data["phase"] = [
        {"name": hostile(number + 1), "date": "2027-05", "changes": [data["change"][0]["name"]]}
    ]
    return data
