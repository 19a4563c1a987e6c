"""Ctrl-C at any moment of the compiled part: it is taken, and the interpreter lives on."""

import os
import subprocess
import sys

import pytest

TIMES_N = 150

OFTEN = f"""
import os, random, signal, threading, time
from homestead.simulate import kernel
from homestead.simulate.inputs import hours_of
from homestead.simulate.trace import trace_of
from homestead.plan import demo_path, open_plan

# A test run in the background of a shell begins with interrupts switched off.
signal.signal(signal.SIGINT, signal.default_int_handler)
hours = hours_of(open_plan(demo_path()), 1)
trace_of(hours, 0, 2)
before, taken = signal.getsignal(signal.SIGINT), 0
chance = random.Random(11)

def press():
    time.sleep(chance.random() / 200)
    os.kill(os.getpid(), signal.SIGINT)

for _ in range({TIMES_N}):
    hand = threading.Thread(target=press)
    try:
        hand.start()
        while True:
            trace_of(hours, 0, 2)
    except KeyboardInterrupt:
        taken += 1
    hand.join()
assert signal.getsignal(signal.SIGINT) is before
print(taken)
"""


@pytest.mark.skipif(os.name == "nt", reason="signals as on POSIX")
def test_an_interrupt_is_taken_and_breaks_nothing():
    found = subprocess.run(
        [sys.executable, "-c", OFTEN], capture_output=True, text=True, timeout=300
    )
    assert found.returncode == 0, found.stderr[-2000:]
    assert int(found.stdout) == TIMES_N


def test_a_handler_that_is_not_pythons_is_left_alone():
    code = OFTEN.split("before,")[0] + (
        "signal.signal(signal.SIGINT, signal.SIG_IGN)\n"
        "trace_of(hours, 0, 2)\n"
        "assert signal.getsignal(signal.SIGINT) is signal.SIG_IGN\n"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert found.returncode == 0, found.stderr[-2000:]
