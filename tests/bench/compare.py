"""Times ``vardata build`` against the hand-written script, whole process against whole process.

Usage: python tests/bench/compare.py [COUNT ...]      (default: 10000 100000)

For each count both programs make beds of the same records, one after the other on the same
machine; printed are seconds, the ratio, bytes of bed files a record and the peak of resident
memory (for vardata the sum over its processes, by proportional set size, so that shared
pages count once). These are measurements, no test: they fail for no figure.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))

from records import write_sheet  # noqa: E402

WARM_UP = 100  # records
FONT = HERE.parents[1] / "fonts" / "NotoSans-Regular.ttf"


def _children(pid: int) -> list[int]:
    try:
        listed = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    except OSError:
        return []
    return [int(child) for child in listed]


def _memory(pid: int) -> int:
    """Proportional set size in kB of a process and its children; 0 where unknown."""
    total = 0
    for each in [pid, *_children(pid)]:
        try:
            lines = Path(f"/proc/{each}/smaps_rollup").read_text().splitlines()
        except OSError:
            continue
        total += sum(int(line.split()[1]) for line in lines if line.startswith("Pss:"))
    return total


def timed(command: list[str], environment: dict[str, str]) -> tuple[float, float]:
    """Seconds and peak MB of a command that must succeed."""
    start = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, env=environment)
    ended, peak = threading.Event(), 0

    def watch() -> None:
        nonlocal peak
        while not ended.wait(0.25):
            peak = max(peak, _memory(process.pid))

    watcher = threading.Thread(target=watch)
    watcher.start()
    process.wait()  # the clock stops here, not when memory is looked at next
    seconds = time.perf_counter() - start
    ended.set()
    watcher.join()
    if process.returncode:
        raise SystemExit(f"{' '.join(command)} ended with {process.returncode}")
    return seconds, peak / 1024


def compare(count: int, folder: Path) -> None:
    # As an installation leaves them: both are compiled, by a short run of each.
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    environment["PYTHONPYCACHEPREFIX"] = str(folder / "compiled")
    for records in (WARM_UP, count):
        sheet = folder / "tags.csv"
        write_sheet(sheet, records)
        job = folder / "job.toml"
        for name in ("job.toml", "layout.toml", "jig.toml", "bed.toml"):
            (folder / name).write_text((HERE / "job" / name).read_text())
        out = folder / f"run-{records}"
        module = [sys.executable, "-m", "vardata.cli.main", "build"]
        script = [sys.executable, str(HERE / "baseline.py"), str(sheet)]
        ours, memory = timed([*module, str(job), "--out", str(out), "-q"], environment)
        theirs, their_memory = timed([*script, str(folder / "b.pdf"), str(FONT)], environment)
    beds = sum(path.stat().st_size for path in (out / "beds").iterdir())
    everything = sum(path.stat().st_size for path in out.rglob("*") if path.is_file())
    print(
        f"{count:>7} records: script {theirs:7.1f} s {their_memory:5.0f} MB"
        f" {(folder / 'b.pdf').stat().st_size / count:6.0f} B a record;"
        f" vardata {ours:6.1f} s {memory:5.0f} MB {beds / count:4.0f} B a record"
        f" ({everything / count:.0f} with all papers); ratio {theirs / ours:.1f}",
        flush=True,
    )


def main(counts: list[int]) -> None:
    print(f"{os.cpu_count()} cores, Python {sys.version.split()[0]}", flush=True)
    for count in counts:
        with tempfile.TemporaryDirectory() as folder:
            compare(count, Path(folder))


if __name__ == "__main__":
    main([int(word) for word in sys.argv[1:]] or [10_000, 100_000])
