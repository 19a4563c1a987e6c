"""How the kernel is compiled: once for each state of its sources, kept in the user's own cache.

numba's cache looks only at the file of a function, not at the files of what it calls. So each state
of the sources has a folder of its own. Where none can be written, code lives in memory alone.
"""

import hashlib
import inspect
import shutil
from pathlib import Path

import numba
import platformdirs
from numba.core import cgutils, types
from numba.extending import intrinsic

HERE = Path(__file__).parent
SOURCES = (
    *sorted(HERE.glob("*.py")),
    HERE.parent / "records.py",
    HERE.parents[1] / "vocabulary.py",
)
KEPT_N = 4  # states of the sources whose code is kept


def folder():
    """Where compiled code is kept, made if need be; None where nothing can be written."""
    state = hashlib.sha256(b"".join(source.read_bytes() for source in SOURCES)).hexdigest()[:16]
    base = Path(platformdirs.user_cache_dir("homestead", appauthor=False)) / "compiled"
    found = base / state
    try:
        found.mkdir(parents=True, exist_ok=True, mode=0o700)
        (found / "used").touch()
        others = sorted(base.iterdir(), key=lambda one: one.stat().st_mtime, reverse=True)
        for old in others[KEPT_N:]:
            shutil.rmtree(old, ignore_errors=True)
    except OSError:
        return None
    return found


FOLDER = folder()


def keeps_code():
    """Whether compiled code can be kept on this computer at all."""
    return FOLDER is not None


def is_kept(module, name):
    """Whether the code of a function has been compiled and kept on this computer."""
    return FOLDER is not None and any(FOLDER.rglob(f"{module}.{name}-*.nbi"))


def _in_one_form(dispatcher):
    """Function that is compiled once for all that call it, whatever constants they pass.

    numba makes one form for each constant and each argument left out, then inlines them all. LLVM
    puts in the constants as well, and a fifth fewer are compiled.
    """
    template_of = dispatcher.get_call_template
    parameters = tuple(inspect.signature(dispatcher.py_func).parameters.values())

    def by_types_alone(given, named):
        named = {name: types.unliteral(kind) for name, kind in named.items()}
        for parameter in parameters[len(given) :]:
            if parameter.default is not parameter.empty:
                named.setdefault(parameter.name, numba.typeof(parameter.default))
        return template_of(tuple(map(types.unliteral, given)), named)

    dispatcher.get_call_template = by_types_alone
    return dispatcher


def _decorator(**more):
    options = {"nogil": True, "error_model": "numpy", "cache": FOLDER is not None, **more}

    def decorate(function):
        before, numba.config.CACHE_DIR = numba.config.CACHE_DIR, str(FOLDER or "")
        try:
            return _in_one_form(numba.njit(**options)(function))
        finally:
            numba.config.CACHE_DIR = before

    return decorate


compiled = _decorator(no_cfunc_wrapper=True)
# What only compiled code calls is compiled with it, without a way in from Python.
within = _decorator(cache=False, no_cpython_wrapper=True, no_cfunc_wrapper=True)
# Small functions are put into their callers, where the constants are at hand.
inlined = _decorator(forceinline=True, cache=False, no_cpython_wrapper=True, no_cfunc_wrapper=True)


@intrinsic
def uncounted(_typing, value):
    """The same arrays, alone or in tuples, without the count of references of each inlined call.

    The count is atomic: a few dozen of them cost more than a start's day. Whoever asks keeps the
    arrays alive.
    """

    def without_owner(context, builder, kind, one):
        if isinstance(kind, types.Array):
            view = context.make_array(kind)(context, builder, one)
            view.meminfo = cgutils.get_null_value(view.meminfo.type)
            return view._getvalue()
        if isinstance(kind, types.BaseTuple):
            parts = cgutils.unpack_tuple(builder, one, len(kind))
            pairs = zip(kind, parts, strict=True)
            parts = [without_owner(context, builder, *pair) for pair in pairs]
            return context.make_tuple(builder, kind, parts)
        return one

    def code(context, builder, signature, arguments):
        return without_owner(context, builder, signature.return_type, arguments[0])

    return value(value), code
