"""No accepted plan fails: every entry at its lowest, highest and just inside, and random sets.

``python tests/fuzz/walk_ranges.py [PLANS] [SEED]`` tries every entry of every shipped plan alone,
then so many random whole plans (100,000 by default: a night), and prints each plan that was
accepted and then failed in the checks, the run, the JSON or a table, or that put "nan" there; of
one in a hundred page, papers and notebooks are made as well.
"""

import contextlib
import copy
import io
import itertools
import json
import math
import multiprocessing
import os
import random
import re
import sys
import tempfile
import traceback
from pathlib import Path

import fuzz_seeds
import tomlkit

from homestead import units
from homestead.outlook.independence import run
from homestead.outlook.summary import as_dict
from homestead.page import papers
from homestead.page import render as page
from homestead.plan.fields import kind_of
from homestead.plan.file import ENVIRONMENT, PlanError, with_changes
from homestead.plan.schema import Plan, part_type, top_key
from homestead.reference import shipped
from homestead.screen import tables

JUST_INSIDE_FRAC = 1e-6
NO_NUMBER = re.compile(r"(?<![^\s<>\"'=(),:\[])-?(?:nan|inf)(?![^\s<>\"'=(),%\]}])", re.IGNORECASE)
TABLES = (
    tables.days_of_independence,
    tables.usual_and_cutting_back,
    tables.by_month,
    tables.first_to_fail,
    tables.energy_by_month,
    tables.fuel_stores,
    tables.story,
)
PLANS_N, ENTRIES_MOST_N, DEEP_EACH_N = 100_000, 12, 100


def ends_of(field):
    """Values at and just inside the limits of an entry, as a plan would have them."""
    kind, extra = kind_of(field).name, field.json_schema_extra or {}
    if kind == "choice":
        return list(extra["choices"])
    if kind == "flag":
        return [True, False]
    if kind == "months":
        return ["all", "Feb", "Nov-Mar"]
    if kind == "hours":
        return ["always", "22-6", "0-1"]
    low, high = extra.get("low"), extra.get("high")
    if low is None or high is None or kind in ("text", "names", "amount", "sets", "adds"):
        return []
    if kind == "count":
        return [low, high, min(low + 1, high)]
    inside = (high - low) * JUST_INSIDE_FRAC
    found = [low, high, low + inside, high - inside]
    if kind == "number":
        return [float(one) for one in found]
    if kind in units.KINDS and kind != "money":
        written = f" {units.shown_unit(kind, 'metric')}".rstrip()
        return [f"{units.convert(one, kind, 'metric'):.17g}{written}" for one in found]
    return []


def entries_of(raw):
    """Path and possible values of every entry of the parts that a plan has."""
    for name in Plan.model_fields:
        part, is_list = part_type(name)
        key = top_key(name)
        if part is None or key in ("change", "phase"):
            continue
        always = not is_list and Plan.model_fields[name].default is not None
        members = raw.get(key, []) if is_list else [raw[key]] if key in raw else [{}] * always
        for one in members:
            prefix = f"{key}.{one['name']}" if is_list and "name" in one else key
            for field_name, field in part.model_fields.items():
                if values := ends_of(field):
                    yield f"{prefix}.{field.alias or field_name}", values


def as_pages_show(outlook):
    """Text of page and papers, and of what the notebooks before the eighth show."""
    yield page.shared_page(outlook)
    yield papers.wall_set(outlook)
    yield papers.electricians_packet(outlook)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "plan.toml")
        path.write_text(tomlkit.dumps(dict(outlook.plan.raw)), encoding="utf-8")
        os.environ[ENVIRONMENT] = str(path)
        for notebook in sorted(shipped("notebooks").glob("0[1-6]*.ipynb")):
            names, said = {}, io.StringIO()
            with contextlib.redirect_stdout(said):
                for cell in json.loads(notebook.read_text(encoding="utf-8"))["cells"]:
                    if cell["cell_type"] == "code":
                        exec("".join(cell["source"]), names)
            yield said.getvalue()


def fault_of(raw, changes, is_deep=False):
    """What is wrong with an accepted plan, as text; None if nothing is, or it is refused.

    is_deep (bool) : Whether page, papers and notebooks are made as well, which takes 10 s.
    """
    changed = copy.deepcopy(raw)
    changed["site"]["years"] = 1
    try:
        plan = with_changes(changed, changes)
    except PlanError:
        return None
    try:
        outlook = run(plan, years_n=1)
        found = as_dict(outlook)
        shown = [json.dumps(found, default=str)]
        shown += [table(outlook).to_string() for table in TABLES]
        shown += [
            one.said(unit_system) for one in outlook.findings for unit_system in ("us", "metric")
        ]
        shown += as_pages_show(outlook) if is_deep else ()
    except PlanError:
        return None
    except Exception:
        return traceback.format_exc(limit=-3)
    for one in shown:
        if found_none := NO_NUMBER.search(one):
            around = one[max(found_none.start() - 150, 0) : found_none.end() + 50]
            return f"shows a number that is none: {around}"
    worst = max(found["balance"].values())
    return None if math.isfinite(worst) and worst < 1e-6 else f"does not balance: {worst}"


def alone():
    """Every entry of every shipped plan at each of its ends: plan and changes."""
    for raw in fuzz_seeds.plain_plans():
        for path, values in entries_of(raw):
            for value in values:
                yield raw, {path: value}


def together(plans_n, seed):
    """Random whole plans: some entries of a shipped plan at some of their ends."""
    draw = random.Random(seed)
    plans = [(raw, list(entries_of(raw))) for raw in fuzz_seeds.plain_plans()]
    for _ in range(plans_n):
        raw, entries = draw.choice(plans)
        chosen = draw.sample(entries, draw.randint(2, ENTRIES_MOST_N))
        yield raw, {path: draw.choice(values) for path, values in chosen}


def _case(case):
    number, (raw, changes) = case
    return raw["name"], changes, fault_of(raw, changes, number % DEEP_EACH_N == 0)


def walk(plans_n, seed=None, alone_too=True):
    """Walk on all cores, and say what failed; 1 if anything did."""
    seed = random.SystemRandom().randrange(10**6) if seed is None else seed
    print(f"seed {seed}", flush=True)
    failed = tried = 0
    cases = itertools.chain(alone() if alone_too else (), together(plans_n, seed))
    with multiprocessing.Pool() as workers:
        for name, changes, fault in workers.imap_unordered(_case, enumerate(cases), 20):
            tried += 1
            if fault:
                failed += 1
                print(f"{name} {changes}\n{fault}", flush=True)
    print(f"{tried} plans, {failed} failed", flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(walk(*map(int, sys.argv[1:3] or (PLANS_N,))))
