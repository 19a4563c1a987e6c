"""Run by test_file_killed: save without end in a process of its own, killed at any moment.

Prints one JSON object: how often it was killed, how often half way, and what was found broken.
"""

import json
import os
import random
import shutil
import signal
import sys
import time
from pathlib import Path

from homestead.plan import PlanFile
from homestead.plan.kept import NOTE_MARK

NAMES = ("Short", "A much longer name than the others", "Été", "家" * 60)


def versions(path):
    """Snapshots of the plan with each name, and the texts that they save."""
    opened, snapshots, texts = PlanFile(path), [], set()
    for name in NAMES:
        opened.set("name", name)
        snapshots.append(opened.snapshot())
        texts.add(opened.text)
    return snapshots, texts | {path.read_text(encoding="utf-8")}


def save_for_ever(opened, snapshots):
    number = 0
    while True:
        number += 1
        opened.restore(snapshots[number % len(snapshots)])
        opened.save(note=f"number {number}" if number % 2 else None)


def killed(opened, snapshots, wait_s):
    child = os.fork()
    if child == 0:
        try:
            save_for_ever(opened, snapshots)
        finally:
            os._exit(1)
    time.sleep(wait_s)
    os.kill(child, signal.SIGKILL)
    return os.WIFSIGNALED(os.waitpid(child, 0)[1])


def main(path, times, seed):
    path, chance = Path(path), random.Random(seed)
    snapshots, texts = versions(path)
    told = {"killed": 0, "half_way": 0, "saves": 0, "broken": []}
    revisions = path.parent / "revisions"
    for _ in range(times):
        told["killed"] += killed(PlanFile(path), snapshots, chance.uniform(0.0, 0.06))
        if path.read_text(encoding="utf-8") not in texts:
            told["broken"].append(path.read_text(encoding="utf-8")[:200])
        left = [*path.parent.glob(".*.part"), *revisions.glob(".*.part")]
        told["half_way"] += bool(left)
        for older in revisions.glob("plan-*.toml"):
            text = older.read_text(encoding="utf-8")
            text = text.partition("\n")[2] if text.startswith(NOTE_MARK) else text
            if text not in texts:
                told["broken"].append(f"{older.name}: {text[:200]}")
            told["saves"] += 1
            older.unlink()
        if left:  # the next save clears up
            opened = PlanFile(path)
            opened.set("units", "metric")
            opened.save()
            told["broken"] += [str(one) for one in path.parent.rglob("*.part")]
            shutil.rmtree(revisions)
            path.write_text(max(texts), encoding="utf-8")
    print(json.dumps(told))


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
