"""A family's own folder: the plan to begin with, copies of the notebooks, a quiet JupyterLab.

Never writes over what somebody changed. Everything that JupyterLab keeps for this folder (its
settings, its trust, its open tabs) lies inside it, so that no other notebook work is touched.
"""

import contextlib
import hashlib
import json
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from pathlib import Path

import homestead
from homestead import reference
from homestead.plan.disk import PRIVATE_FILE, make_private_folder
from homestead.plan.file import ENVIRONMENT, PlanError, PlanFile, write_atomically
from homestead.plan.whose import TEMPLATES
from homestead.questions import interview

HIDDEN = ".homestead"
EXTENSION = "homestead-lab"
FIRST = "01_place_and_people.ipynb"
# Glibc else keeps freed arrays for later, in pools by thread: eight notebooks do it eight times.
THRIFTY = {"MALLOC_ARENA_MAX": "2", "MALLOC_MMAP_THRESHOLD_": "1000000"}

# JupyterLab listens for single keys whenever a control of a form has the focus: "d d" would delete
# the form itself, an arrow would leave a list half way. Keys and command as its registry has them.
_NOTEBOOK = ".jp-Notebook.jp-mod-commandMode:not(.jp-mod-readWrite)"
COMMAND_MODE = f"{_NOTEBOOK} :focus"
KERNEL = "[data-jp-kernel-user]:not(.jp-mod-readWrite) :focus:not(:read-write)"
SHORTCUTS = (
    ("D, D", "notebook:delete-cell", COMMAND_MODE),
    ("X", "notebook:cut-cell", COMMAND_MODE),
    ("C", "notebook:copy-cell", COMMAND_MODE),
    ("V", "notebook:paste-cell-below", COMMAND_MODE),
    ("A", "notebook:insert-cell-above", COMMAND_MODE),
    ("B", "notebook:insert-cell-below", COMMAND_MODE),
    ("Shift A", "notebook:insert-heading-above", COMMAND_MODE),
    ("Shift B", "notebook:insert-heading-below", COMMAND_MODE),
    ("M", "notebook:change-cell-to-markdown", COMMAND_MODE),
    ("Y", "notebook:change-cell-to-code", COMMAND_MODE),
    ("R", "notebook:change-cell-to-raw", COMMAND_MODE),
    ("Shift M", "notebook:merge-cells", COMMAND_MODE),
    ("Ctrl Backspace", "notebook:merge-cell-above", COMMAND_MODE),
    ("Ctrl Shift M", "notebook:merge-cell-below", COMMAND_MODE),
    ("Z", "notebook:undo-cell-action", COMMAND_MODE),
    ("Shift Z", "notebook:redo-cell-action", COMMAND_MODE),
    ("Shift R", "notebook:toggle-render-side-by-side-current", COMMAND_MODE),
    ("Shift L", "viewmenu:line-numbering", COMMAND_MODE),
    ("Ctrl Shift ArrowUp", "notebook:move-cell-up", COMMAND_MODE),
    ("Ctrl Shift ArrowDown", "notebook:move-cell-down", COMMAND_MODE),
    ("ArrowUp", "notebook:move-cursor-up", COMMAND_MODE),
    ("ArrowDown", "notebook:move-cursor-down", COMMAND_MODE),
    ("K", "notebook:move-cursor-up", COMMAND_MODE),
    ("J", "notebook:move-cursor-down", COMMAND_MODE),
    ("ArrowLeft", "notebook:move-cursor-heading-above-or-collapse", COMMAND_MODE),
    ("ArrowRight", "notebook:move-cursor-heading-below-or-expand", COMMAND_MODE),
    ("0, 0", "kernelmenu:restart", KERNEL),
    ("I, I", "kernelmenu:interrupt", KERNEL),
    *(
        (
            str(level),
            f"notebook:change-cell-to-heading-{level}",
            f"{_NOTEBOOK} .jp-MarkdownCell:focus",
        )
        for level in range(1, 7)
    ),
)


def new(folder, template="demo", answers=None):
    """Begin a plan: copy one that already runs into a folder.

    folder (str or Path) : Made if it is not there.
    template (str) : One of `TEMPLATES`.
    answers (dict, optional) : To the first questions (`interview.begun`), instead of a template;
        the rest is typical.
    Gives Path: The new plan file.

    Raises PlanError If the template is unknown, a plan is already there, an answer does not hold,
        or the folder cannot be written.
    """
    target = place_of_new(folder, template)
    if answers is None:
        source = PlanFile(reference.shipped("data", template, "plan.toml"))
        source.set("began_from", template)
        text = source.text
    else:
        text = interview.begun(answers)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        write_atomically(target, text)
    except OSError as error:
        raise PlanError(f"{target}: cannot be written ({error.strerror})") from error
    return target


def place_of_new(folder, template="demo"):
    """Path of the plan that `new` would write.

    Raises PlanError if the template is unknown or a plan is already there.
    """
    if template not in TEMPLATES:
        raise PlanError(f"--from must be one of {', '.join(TEMPLATES)}; got {template!r}")
    target = Path(folder).expanduser() / "plan.toml"
    if target.exists():
        raise PlanError(f"{target}: there's already a plan; it stays as it is")
    return target


def copy_notebooks(folder):
    """Bring the shipped notebooks into a folder; what the family changed stays.

    Gives list of (str, str): Name of each notebook and what was done: ``"copied"``, ``"brought up
        to date"``, ``"as shipped"`` or ``"you changed yours: kept"``.

    Raises PlanError If the folder cannot be written.
    """
    folder = Path(folder)
    stamps_path = folder / HIDDEN / "notebooks.json"
    try:
        stamps = _read_stamps(stamps_path)
        (folder / "notebooks").mkdir(parents=True, exist_ok=True)
        make_private_folder(stamps_path.parent)
        done = []
        for source in sorted(reference.shipped("notebooks").glob("*.ipynb")):
            did = _bring(source, folder / "notebooks" / source.name, stamps)
            done.append((source.name, did))
        write_atomically(stamps_path, json.dumps(stamps, indent=1))
    except OSError as error:
        raise PlanError(f"{folder}: cannot be written ({error.strerror})") from error
    return done


def _read_stamps(path):
    try:
        stamps = json.loads(path.read_text(encoding="utf-8"))
        return stamps if isinstance(stamps, dict) else {}
    except (FileNotFoundError, ValueError):
        return {}


def _bring(source, target, stamps):
    shipped = source_stamp(source)
    if target.exists():
        mine = source_stamp(target)
        known = stamps.get(source.name, {}).get("stamp")
        if mine not in (known, shipped):
            return "you changed yours: kept"
        if mine == shipped:
            stamps[source.name] = {"stamp": shipped, "version": homestead.__version__}
            _drop_dead_views(target)
            return "as shipped"
    did = "brought up to date" if target.exists() else "copied"
    write_atomically(target, source.read_text(encoding="utf-8"))
    stamps[source.name] = {"stamp": shipped, "version": homestead.__version__}
    return did


def source_stamp(path):
    """Digest of what a notebook says, without its results: running it is no change.

    Empty text if the file is not a notebook.
    """
    try:
        cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        said = [[cell["cell_type"], "".join(cell["source"])] for cell in cells]
    except (ValueError, KeyError, TypeError):
        return ""
    return hashlib.sha256(json.dumps(said).encode()).hexdigest()


def _drop_dead_views(path):
    """Take out saved views of forms: without their kernel they show only an error."""
    notebook = json.loads(path.read_text(encoding="utf-8"))
    if not drop_views(notebook):
        return
    write_atomically(path, json.dumps(notebook, indent=1, ensure_ascii=False) + "\n")


def drop_views(notebook):
    """Take widget views and their state out of a notebook (plain data); whether any was there."""
    found = notebook["metadata"].pop("widgets", None) is not None
    for cell in notebook["cells"]:
        outputs = cell.get("outputs", [])
        kept = [
            output
            for output in outputs
            if "application/vnd.jupyter.widget-view+json" not in output.get("data", {})
        ]
        if len(kept) < len(outputs):
            cell["outputs"], found = kept, True
    return found


def settings():
    """JupyterLab settings that keep a form from being deleted by a stray key, as plain data."""
    return {
        "@jupyterlab/shortcuts-extension:shortcuts": {
            "shortcuts": [
                {
                    "command": command,
                    "keys": keys.split(", "),
                    "selector": selector,
                    "disabled": True,
                }
                for keys, command, selector in SHORTCUTS
            ]
        },
        # Else a slow start asks which kernel to take, which no family can answer.
        # All cells stay attached, so that the answer can stay in view; closing a notebook ends it.
        "@jupyterlab/notebook-extension:tracker": {
            "autoStartDefaultKernel": True,
            "kernelShutdown": True,
            "windowingMode": "none",
        },
        "@jupyterlab/apputils-extension:notification": {
            "fetchNews": "false",
            "checkForUpdates": False,
        },
    }


def port_is_free(port):
    """Whether a server of this computer could listen on the port."""
    with socket.socket() as probe:
        if os.name != "nt":  # as the server itself does, so that a port just left is free
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError:
            return False
    return True


def start_lab(folder, plan_path, port=8888, browser=True):
    """Run JupyterLab on a family's folder until it is stopped; returns its exit code.

    It listens on this computer only and keeps its token.

    Raises PlanError if the port is taken or the folder cannot be written.
    """
    if not port_is_free(port):
        raise PlanError(
            f"port {port} is in use, perhaps by a notebook that is still open; close it, or "
            f"choose another: homestead open --port {port + 1}"
        )
    folder = Path(folder).resolve()
    own = folder / HIDDEN / "jupyter"
    try:
        make_private_folder(folder / HIDDEN)
        for name in ("", "config", "config/labconfig", "data", "runtime"):
            make_private_folder(own / name)
        _install_extension(own / "data" / "labextensions" / EXTENSION)
        _close_to_others(own)
        write_atomically(
            own / "config/labconfig/default_setting_overrides.json",
            json.dumps(settings(), indent=1),
        )
    except OSError as error:
        raise PlanError(f"{own}: cannot be written ({error.strerror})") from error
    environment = {
        **os.environ,
        "HOMESTEAD_PROGRESS": "on",
        **THRIFTY,
        "JUPYTER_CONFIG_DIR": str(own / "config"),
        "JUPYTER_DATA_DIR": str(own / "data"),
        "JUPYTER_RUNTIME_DIR": str(own / "runtime"),
        ENVIRONMENT: str(Path(plan_path).resolve()),
    }
    command = [
        sys.executable,
        "-m",
        "homestead.workspace.server",
        "--ServerApp.ip=127.0.0.1",
        f"--ServerApp.port={port}",
        "--ServerApp.port_retries=0",
        f"--ServerApp.root_dir={folder}",
        f"--LabApp.default_url=/lab/tree/notebooks/{FIRST}",
    ]
    if not browser:
        command.append("--no-browser")
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        command.append("--allow-root")  # else it refuses inside a container
    # The server writes its page, with the token in it, and must write it for its owner alone. It
    # ends when this end of the pipe closes, however this program ends.
    private = {} if os.name == "nt" else {"umask": 0o077}
    with _ended_by_signals():
        server = subprocess.Popen(command, env=environment, stdin=subprocess.PIPE, **private)
        try:
            # Of two signals at once one may reach a library's thread: this one has to look itself.
            while server.poll() is None:
                time.sleep(0.2)
            return server.returncode
        except BaseException:
            server.terminate()
            try:
                server.wait(timeout=20)
            except subprocess.TimeoutExpired:
                server.kill()
            raise


def _install_extension(folder):
    """Put what runs a notebook when it is opened where JupyterLab looks for extensions."""
    for made in (folder.parent, folder, folder / "static"):
        make_private_folder(made)
    shipped = Path(__file__).parent / "lab"
    for name, place in (("package.json", "."), ("remoteEntry.js", "static")):
        text = (shipped / name).read_text(encoding="utf-8")
        write_atomically(folder / place / name, text)


def _close_to_others(folder):
    """Take from others what an earlier server wrote for all to read."""
    for path in folder.rglob("*") if os.name != "nt" else ():
        if path.is_file() and not path.is_symlink() and path.stat().st_mode & 0o077:
            path.chmod(PRIVATE_FILE)


@contextlib.contextmanager
def _ended_by_signals():
    """Let a signal that would end this program at once end it by `SystemExit`, server first."""

    def leave(number, frame):
        raise SystemExit(128 + number)

    names = [name for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name)]
    if threading.current_thread() is not threading.main_thread():
        names = []
    before = {getattr(signal, name): signal.getsignal(getattr(signal, name)) for name in names}
    for number in before:
        signal.signal(number, leave)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
