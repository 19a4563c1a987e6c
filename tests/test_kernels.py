"""Kernels of `homestead open` share what they have in common, and are kernels like any other."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from homestead.plan.disk import make_private_folder
from homestead.workspace import kernels

ROOT = Path(__file__).resolve().parents[1]
pytestmark = pytest.mark.skipif(not kernels.CAN_FORK, reason="kernels are forked on Linux")

# What the server does, in a process of its own: register, start, and so on.
SERVER = """
import asyncio, json, os, sys
from jupyter_client import AsyncKernelManager
from homestead.workspace import kernels
kernels.register()

async def asked(client, code):
    said = []
    def heard(message):
        content = message["content"]
        said.append(content.get("text") or content.get("ename") or "")
    answer = await client.execute_interactive(code, timeout=120, output_hook=heard)
    return "".join(said).strip()

async def started(**more):
    manager = AsyncKernelManager()
    await manager.start_kernel(**more)
    client = manager.client()
    client.start_channels()
    await client.wait_for_ready(timeout=120)
    return manager, client

def told(**what):
    print(json.dumps(what), flush=True)

async def main():
"""


@pytest.fixture
def told(tmp_path):
    """What some lines of a server print, as a dict; they may use `started`, `asked` and `told`."""
    processes = []

    def run(body, wait=True, **environment):
        make_private_folder(tmp_path / "runtime")
        code = SERVER + "".join(f"    {line}\n" for line in body) + "\nasyncio.run(main())\n"
        process = subprocess.Popen(
            [sys.executable, "-c", code],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            text=True,
            cwd=tmp_path,
            env={
                **os.environ,
                "PYTHONPATH": str(ROOT),
                "JUPYTER_RUNTIME_DIR": str(tmp_path / "runtime"),
                **environment,
            },
        )
        processes.append(process)
        answer = json.loads(process.stdout.readline() or "{}")
        if wait:
            assert process.wait(60) == 0
        return answer, process

    yield run
    for process in processes:
        process.kill()
        process.stdout.close()


def is_alive(number):
    try:
        return Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def have_ended(numbers):
    """Whether none of these processes is there any more, some seconds later at most."""
    until = time.monotonic() + 20
    while any(map(is_alive, numbers)) and time.monotonic() < until:
        time.sleep(0.2)
    return not any(map(is_alive, numbers))


def test_kernels_are_forked_share_their_memory_and_know_the_days(told):
    found, _ = told(
        [
            "one, at_one = await started()",
            "two, at_two = await started()",
            "count = 'import sys, homestead.screen.kept as k; print(len(k._outlooks))'",
            "about = 'import os; print(os.getppid(), os.getpid(), os.getsid(0), os.getcwd())'",
            "loaded = \"print('numba' in sys.modules, 'matplotlib' in sys.modules)\"",
            'private = [await asked(c, "print(sum(int(l.split()[1]) for l in '
            "open('/proc/self/smaps_rollup') if l.startswith('Private')))\") "
            "for c in (at_one, at_two)]",
            "told(known=await asked(at_two, count), loaded=await asked(at_two, loaded), "
            "one=await asked(at_one, about), two=await asked(at_two, about), private=private, "
            "server=os.getpid())",
            "await one.shutdown_kernel(); await two.shutdown_kernel()",
        ]
    )
    one, two = found["one"].split(), found["two"].split()
    assert one[0] == two[0] and int(one[0]) != found["server"]  # one process has forked both
    assert one[1] == one[2] and two[1] == two[2] != one[1]  # each leads a session of its own
    assert found["loaded"] == "True True" and found["known"] == "1"
    # By itself each holds 130 MB of libraries and 200 MB of years before its first cell.
    assert max(map(int, found["private"])) < 80_000
    assert have_ended([int(number) for number in (one[0], one[1], two[1])])


def test_a_kernel_is_interrupted_restarted_ended_and_seen_to_have_died(told):
    found, _ = told(
        [
            "manager, client = await started()",
            "first = await asked(client, 'import os; print(os.getpid())')",
            "waits = asyncio.ensure_future(asked(client, 'import time; time.sleep(60)'))",
            "await asyncio.sleep(1); await manager.interrupt_kernel()",
            "stopped = await asyncio.wait_for(waits, 20)",
            "kept = await asked(client, 'print(os.getpid())')",
            "await manager.restart_kernel(now=True)",
            "await client.wait_for_ready(timeout=60)",
            "fresh = await asked(client, \"print('os' in globals())\")",
            "second = await asked(client, 'import os; print(os.getpid())')",
            "os.kill(int(second), 9)",
            "for _ in range(50):",
            "    alive = await manager.is_alive()",
            "    if not alive: break",
            "    await asyncio.sleep(0.1)",
            "await manager.restart_kernel(now=True)",
            "await client.wait_for_ready(timeout=60)",
            "third = await asked(client, 'import os; print(os.getpid())')",
            "await manager.shutdown_kernel()",
            "told(first=first, stopped=stopped, kept=kept, fresh=fresh, second=second, "
            "third=third, alive=alive)",
        ],
        HOMESTEAD_PLAN="none.toml",  # a plan that is not there: kernels start all the same
    )
    assert "KeyboardInterrupt" in found["stopped"]
    assert found["kept"] == found["first"] and found["fresh"] == "False"
    assert len({found["first"], found["second"], found["third"]}) == 3
    assert found["alive"] is False
    assert have_ended([int(found[name]) for name in ("first", "second", "third")])


def test_no_kernel_outlives_a_server_that_is_killed(told):
    found, process = told(
        [
            "one, at_one = await started()",
            "told(kernel=await asked(at_one, 'import os; print(os.getpid())'), "
            "forks=await asked(at_one, 'print(os.getppid())'))",
            "await asyncio.sleep(100)",
        ],
        wait=False,
        HOMESTEAD_PLAN="none.toml",
    )
    numbers = int(found["kernel"]), int(found["forks"])
    assert all(map(is_alive, numbers))
    os.kill(process.pid, signal.SIGKILL)
    assert have_ended(numbers)


def test_a_kernel_that_cannot_be_forked_starts_the_usual_way(told):
    found, _ = told(
        [
            "from multiprocessing import process",
            "def fails(self): raise EOFError('on purpose')",
            "process.BaseProcess.start = fails",
            "one, at_one = await started()",
            "told(parent=await asked(at_one, 'import os; print(os.getppid())'), own=os.getpid())",
            "await one.shutdown_kernel()",
        ],
        HOMESTEAD_PLAN="none.toml",
    )
    assert int(found["parent"]) == found["own"]


def test_other_servers_start_kernels_as_ever():
    from jupyter_client.provisioning import KernelProvisionerFactory

    assert kernels.NAME not in KernelProvisionerFactory.instance().provisioners
