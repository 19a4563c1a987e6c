"""The command as a family runs it, each time in a process of its own, imports paid for once.

One helper process has imported the program and makes a copy of itself for each command. The copy
has its own folder, environment, input, output and end; the helper has run nothing before.
"""

import atexit
import json
import os
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
LIMIT_S = 300  # a command that takes longer hangs

HELPER = """
import io, json, os, runpy, signal, sys
import matplotlib.pyplot, numba, pandas, pydantic, tqdm, typer
import homestead.cli, homestead.outlook, homestead.plan

def child(asked):
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    signal.alarm(asked["limit_s"])
    os.chdir(asked["cwd"])
    os.environ.clear()
    os.environ.update(asked["environment"])
    for number, name in enumerate(("in", "out", "err")):
        flags = os.O_RDONLY if number == 0 else os.O_WRONLY | os.O_CREAT
        opened = os.open(os.path.join(asked["folder"], name), flags)
        os.dup2(opened, number)
        os.close(opened)
    letters = asked["environment"].get("PYTHONIOENCODING", "utf-8")
    sys.stdin = io.TextIOWrapper(io.FileIO(0), encoding=letters)
    sys.stdout = io.TextIOWrapper(io.BufferedWriter(io.FileIO(1, "w")), encoding=letters)
    sys.stderr = io.TextIOWrapper(
        io.BufferedWriter(io.FileIO(2, "w")), encoding=letters, errors="backslashreplace"
    )
    sys.argv = ["homestead", *asked["arguments"]]
    try:
        runpy.run_module("homestead", run_name="__main__", alter_sys=False)
        code = 0
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else int(bool(end.code))
    except BaseException:
        import traceback

        traceback.print_exc()
        code = 1
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)

for line in sys.stdin:
    one = os.fork()
    if one == 0:
        child(json.loads(line))
    _, status = os.waitpid(one, 0)
    print(os.waitstatus_to_exitcode(status), flush=True)
"""


@cache
def _helper():
    started = subprocess.Popen(
        [sys.executable, "-c", HELPER],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        encoding="utf-8",
    )
    atexit.register(started.kill)
    return started


def run(*arguments, cwd, answers="", **environment):
    """What a command gave, as `subprocess.run` tells it; HOMESTEAD_... of this process is not seen.

    answers (str) : What is typed.
    environment (str) : Variables beside those of this process.
    """
    seen = {name: value for name, value in os.environ.items() if not name.startswith("HOMESTEAD")}
    seen |= {"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", **environment}
    with tempfile.TemporaryDirectory() as folder:
        for name, text in (("in", answers), ("out", ""), ("err", "")):
            Path(folder, name).write_text(text, encoding="utf-8")
        asked = {
            "arguments": [str(one) for one in arguments],
            "cwd": str(cwd),
            "environment": seen,
            "folder": folder,
            "limit_s": LIMIT_S,
        }
        helper = _helper()
        print(json.dumps(asked), file=helper.stdin, flush=True)
        code = int(helper.stdout.readline())
        # As on a terminal, line ends of any kind are one.
        out, err = (
            Path(folder, name).read_text(encoding="utf-8", errors="replace")
            for name in ("out", "err")
        )
    assert "Traceback" not in err, err
    return subprocess.CompletedProcess(arguments, code, out, err)
