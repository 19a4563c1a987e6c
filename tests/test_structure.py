"""The house: which module may import which, how long a module may be, and what none may hold."""

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parent.parent / "homestead"
MODULES = sorted(path.relative_to(PACKAGE) for path in PACKAGE.rglob("*.py"))
# The house from the ground up: a module may import from its own floor and from those below. A name
# stands for a module or a room; the longest name that fits a module counts.
FLOORS = (
    {"units", "vocabulary", "shown"},
    {"reference"},
    {"plan"},
    {"disk_cache"},
    {"weather"},
    {"findings/finding", "findings/cautions"},
    {"formulas"},
    {"systems"},
    {"simulate"},
    {"outlook", "trades", "findings"},
    {"questions"},
    {"door"},
    {
        "screen",
        "trades/*/tables",
        "trades/*/limit_tables",
        "trades/*/workings",
        "trades/*/figures",
    },
    {"forms", "page"},
    {"cli", "cli_year", "terminal", "workspace", "__main__", "notebook"},
)
LARGEST_LINES = 600


def floor(module):
    """Floor of a module named as a path without suffix, such as "plan/fields"."""
    pieces = module.split("/")
    for length in range(len(pieces), 0, -1):
        name = "/".join(pieces[:length])
        any_trade = "/".join("*" if n == 1 else one for n, one in enumerate(pieces[:length]))
        for n, names in enumerate(FLOORS):
            if name in names or any_trade in names:
                return n
    return None


def name_of(module):
    return module.with_suffix("").as_posix().removesuffix("/__init__")


def room_of(module):
    return module.parts[0].removesuffix(".py")


def imports(tree, module):
    """Full dotted names that a module imports, with the line, wherever the statement stands."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for one in node.names:
                yield one.name, node.lineno
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                folders = ("homestead", *module.parts[:-1])
                base = ".".join((*folders[: len(folders) - node.level + 1], base)).strip(".")
            for one in node.names:
                yield f"{base}.{one.name}", node.lineno


TEXTS = {module: (PACKAGE / module).read_text(encoding="utf-8") for module in MODULES}
TREES = {module: ast.parse(text) for module, text in TEXTS.items()}
IMPORTS = {module: list(imports(TREES[module], module)) for module in MODULES}


def at_import_time(tree):
    """Statements that run when the module is imported: all but the bodies of functions."""
    waiting = list(tree.body)
    while waiting:
        node = waiting.pop()
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            continue
        yield node
        waiting += ast.iter_child_nodes(node)


def test_the_walk_finds_the_house():
    assert {room_of(module) for module in MODULES} >= {"units", "plan", "formulas", "outlook"}


def test_every_module_belongs_to_a_room():
    rooms = {module: floor(name_of(module)) for module in MODULES}
    lost = [str(module) for module, found in rooms.items() if found is None]
    assert lost == ["__init__.py"]


def test_imports_point_one_way():
    wrong = []
    for module in MODULES:
        here = floor(name_of(module))
        for name, line in IMPORTS[module]:
            pieces = name.split(".")
            if pieces[0] != "homestead" or len(pieces) < 2 or pieces[1] == "__version__":
                continue
            if module == Path("__init__.py"):
                # Only for whoever checks types; `test_importing_the_package_is_cheap` watches.
                is_wrong = pieces[1] != "door"
            else:
                there = floor("/".join(pieces[1:]))
                is_wrong = there is None or there > here
            if is_wrong:
                wrong.append(f"{module}:{line} imports {name}")
    assert wrong == []


ONLY_IN = {
    "pvlib": ("weather/", "formulas/power/"),
    "numba": ("simulate/kernel/",),
    "matplotlib": ("screen/", "trades/"),
    "ipywidgets": ("forms/",),
    "pint": ("units.py",),
}


@pytest.mark.parametrize("library", ONLY_IN)
def test_a_library_stays_in_its_room(library):
    wrong = [
        f"{module}:{line}"
        for module in MODULES
        for name, line in IMPORTS[module]
        if name.split(".")[0] == library and not module.as_posix().startswith(ONLY_IN[library])
    ]
    assert wrong == []


def test_slow_libraries_are_imported_only_when_needed():
    found = []
    for module in MODULES:
        for node in at_import_time(TREES[module]):
            names = [one.name for one in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            slow = [name for name in names if name.split(".")[0] in ("pvlib", "pint")]
            found += [f"{module} imports {name}" for name in slow]
    assert found == []


def test_a_module_has_one_subject_and_a_readable_length():
    for module in MODULES:
        assert TEXTS[module].count("\n") <= LARGEST_LINES, module
        assert not re.search(r"util|helper|common|misc", module.as_posix()), module
        assert ast.get_docstring(TREES[module]), f"{module}: says what it owns"


# A folder of one machine, or the address of a package registry; web addresses of sources may stand.
ABSOLUTE = re.compile(r"(?<![\w.:/<>~\])}*°²³\"'`-])/(?:home|root|work|tmp|usr|var|mnt|opt|Users)/")
QUOTED_ABSOLUTE = re.compile(r"[\"'`]/(?:home|root|work|tmp|usr|var|mnt|opt|Users)\b")
REGISTRY = re.compile(r"py" + r"pi\.|python" + r"hosted|conda\.|/sim" + r"ple/", re.IGNORECASE)
TRADE_MARK = re.compile("[®™]")


def test_no_machine_registry_or_trade_mark_is_named():
    patterns = (ABSOLUTE, QUOTED_ABSOLUTE, REGISTRY, TRADE_MARK)
    pairs = ((module, one.search(text)) for module, text in TEXTS.items() for one in patterns)
    assert [(module, found) for module, found in pairs if found] == []


def test_the_patterns_above_would_find_what_they_look_for():
    assert ABSOLUTE.search("see /home/someone/plan.toml")
    assert QUOTED_ABSOLUTE.search('open("/tmp/x")')
    assert REGISTRY.search("https://py" + "pi.example")


def test_importing_the_package_is_cheap():
    slow = "numpy pandas pvlib numba pint matplotlib ipywidgets pydantic tomlkit".split()
    code = f"import sys, homestead; print([name for name in {slow} if name in sys.modules])"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=PACKAGE.parent, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"


def test_reading_a_plan_needs_no_weather_and_no_kernel():
    slow = ["pandas", "pvlib", "numba", "matplotlib", "ipywidgets"]
    code = (
        "import sys; from homestead.plan import open_plan, demo_path; open_plan(demo_path()); "
        f"print([name for name in {slow} if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=PACKAGE.parent, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"
