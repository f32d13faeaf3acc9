"""Eight processes take 100,000 numbers and are killed at random: none comes twice, none is lost.

The judge is arithmetic on what the processes themselves wrote down, and SQLite's own check.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

from vardata.ledger.serials import Serials

WORKERS, EACH, KILLS = 8, 12_500, 24
WORK = """
import json, os, random, sys
from pathlib import Path
from vardata.ledger.serials import Serials
folder, worker, each = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
serials = Serials(folder / "ledger.sqlite")
log = os.open(folder / f"log-{worker}", os.O_WRONLY | os.O_CREAT | os.O_APPEND)
done = (folder / f"log-{worker}").read_text().count(chr(10))
chance, left, step = random.Random(worker), each, 0
while left:
    size = min(left, chance.randrange(1, 160))
    if step >= done:  # the step that was cut off is asked again under its key
        block = serials.reserve("tag", size, f"{worker}-{step}")
        os.write(log, (json.dumps([step, size, list(block.ranges)]) + chr(10)).encode())
    left -= size
    step += 1
"""


def _start(folder: Path, worker: int) -> subprocess.Popen[bytes]:
    call = [sys.executable, "-c", WORK, str(folder), str(worker), str(EACH)]
    return subprocess.Popen(call, env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)})


def _run(folder: Path) -> int:
    """Kills and starts again until all work is done; gives the number of kills that struck."""
    chance = random.Random(42)
    running = {worker: _start(folder, worker) for worker in range(WORKERS)}
    struck = 0
    try:
        for _ in range(KILLS):
            time.sleep(chance.uniform(0.02, 0.2))
            at_work = [worker for worker, process in running.items() if process.poll() is None]
            if not at_work:
                break
            worker = chance.choice(at_work)
            running[worker].send_signal(signal.SIGKILL)
            struck += running[worker].wait() == -signal.SIGKILL
            running[worker] = _start(folder, worker)
        assert [process.wait(timeout=60) for process in running.values()] == [0] * WORKERS
    finally:
        for process in running.values():
            process.kill()
            process.wait()
    return struck


def test_no_number_twice_and_none_unaccounted_for(tmp_path: Path) -> None:
    assert _run(tmp_path) > KILLS // 3
    taken: list[int] = []
    for worker in range(WORKERS):
        lines = (tmp_path / f"log-{worker}").read_text().splitlines()
        logged = [json.loads(line) for line in lines]
        assert [step for step, _, _ in logged] == list(range(len(logged)))
        assert sum(size for _, size, _ in logged) == EACH
        for _, size, ranges in logged:
            numbers = [n for first, last in ranges for n in range(first, last + 1)]
            assert len(numbers) == size
            taken += numbers
    assert sorted(taken) == list(range(1, WORKERS * EACH + 1))
    serials = Serials(tmp_path / "ledger.sqlite")
    known = [(s.first, s.last, s.state) for s in serials.stretches("tag")]
    assert sum(last - first + 1 for first, last, _ in known) == WORKERS * EACH
    assert {state for _, _, state in known} == {"reserved"}
    assert serials.reserve("tag", 1, "after").number(0) == WORKERS * EACH + 1
    with sqlite3.connect(tmp_path / "ledger.sqlite") as database:
        assert database.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
