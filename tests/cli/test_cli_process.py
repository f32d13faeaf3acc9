"""The command as a shell runs it: a process of its own, its exit code, its two streams.

Exit codes are those of README.md; 130 is 128 + SIGINT, 143 128 + SIGTERM, 129 128 + SIGHUP, as
shells have it (POSIX.1-2017, Shell and Utilities, 2.8.2: greater than 128; the sum is common
practice).
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from badjob import HEADING, Shop, Spoil, read_json, remove, row, swap

COMMAND = [sys.executable, "-m", "vardata.cli.main"]


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*COMMAND, *arguments], capture_output=True, text=True, encoding="utf-8", timeout=120,
        check=False,
    )  # fmt: skip


@pytest.fixture(autouse=True)
def here(monkeypatch: pytest.MonkeyPatch) -> None:
    """The process finds the package where this one found it."""
    import vardata

    folder = Path(vardata.__file__).resolve().parents[1]
    monkeypatch.setenv("PYTHONPATH", str(folder))


CASES: list[tuple[int, Spoil, list[str], list[str]]] = [
    (5, swap("orders.csv", "Pieces", "Qty"), ["build", "job.toml", "--out", "run"],
     ["sheet 'orders', row 1: the quantity column 'Pieces' is not there; the headings are 'Order', "
      "'Asset no', 'Owner', 'Photo', 'Qty'; set quantity under [records] to a heading of the "
      "sheet"]),
    (6, lambda shop: None, ["build", "job.toml", "--out", "orders.csv/run"],
     ["orders.csv/run: the run cannot be written: a file stands where a folder is wanted "
      "(orders.csv); choose a folder that you may write to with --out; nothing was left behind"]),
    (4, remove("job.toml"), ["preview", "job.toml", "--out", "look.png"],
     ["job.toml: there is no such job file; check the name and the folder you are in"]),
]  # fmt: skip


@pytest.mark.parametrize(("code", "spoil", "arguments", "lines"), CASES)
def test_a_failing_process(
    shop: Shop, code: int, spoil: Spoil, arguments: list[str], lines: list[str]
) -> None:
    spoil(shop)
    before = shop.state()
    done = run(*arguments, "--workers", "2")
    assert (done.returncode, done.stdout, done.stderr.splitlines()) == (code, "", lines)
    assert shop.state() == before


def test_a_wrong_call_is_a_process_of_exit_code_2(shop: Shop) -> None:
    done = run("chekc", "job.toml")
    assert done.returncode == 2 and done.stdout == ""
    (line,) = done.stderr.splitlines()
    assert "no such command 'chekc'; did you mean 'check'?" in line


def test_held_records_in_two_workers(shop: Shop) -> None:
    row("1001,00043,Ada 漢,photos/ada.png,1")(shop)
    done = run("build", "job.toml", "--out", "run", "--workers", "2", "--json")
    assert (done.returncode, done.stderr) == (3, "")
    assert read_json(done.stdout)["held_by_kind"] == {"missing-glyph": 1}


@pytest.mark.parametrize(
    ("stop", "workers", "code", "word"),
    [
        (signal.SIGINT, "1", 130, "interrupted"),
        (signal.SIGINT, "2", 130, "interrupted"),
        (signal.SIGTERM, "2", 143, "stopped"),
        (signal.SIGHUP, "1", 129, "stopped"),
    ],
)
def test_an_interrupted_build_leaves_nothing(
    shop: Shop, stop: signal.Signals, workers: str, code: int, word: str
) -> None:
    names = "".join(f"1,{n:06},Ada {n},photos/ada.png,1\n" for n in range(40_000))
    shop.write("orders.csv", HEADING + names)
    before = shop.state()
    arguments = ["build", "job.toml", "--out", "run", "--workers", workers]
    with subprocess.Popen(
        [*COMMAND, *arguments], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        start_new_session=True, env={**os.environ, "TMPDIR": str(shop.path / "scratch")},
    ) as process:  # fmt: skip
        until = time.monotonic() + 60
        while not list(shop.path.glob(".run.partial-*")) and time.monotonic() < until:
            time.sleep(0.02)
        time.sleep(0.3)  # into the reading of the sheet
        os.killpg(process.pid, stop)  # as a terminal does: to all of its processes
        out, err = process.communicate(timeout=60)
    assert (process.returncode, out) == (code, "")
    assert err.splitlines() == [f"{word}; nothing was left behind"]
    assert shop.state() == before


START = "from vardata.__main__ import run\n{}\nrun()\n"
SLOW_IMPORT = (  # the signal comes while a command loads what it needs
    "import importlib.abc, os, signal, sys\n"
    "class Slow(importlib.abc.MetaPathFinder):\n"
    "    def find_spec(self, name, path, target=None):\n"
    "        if name == {name!r}:\n"
    "            os.kill(os.getpid(), signal.{stop})\n"
    "sys.meta_path.insert(0, Slow())\n"
)
COMMANDS = [
    ("new", "made.toml"), ("check", "job.toml"), ("build", "job.toml"), ("preview", "job.toml"),
    ("proof", "job.toml"), ("approve", "job.toml"), ("readback", "run"),
    ("difference", "run", "run", "--out", "d.png"), ("remake", "job.toml", "run", "--slot", "1/A1"),
    ("chart", "job.toml", "--text", "A"), ("serials", "list", "job.toml"), ("erase", "run"),
    ("schema",), ("--help",),
]  # fmt: skip


def test_the_commands_that_are_interrupted_are_all_there_are() -> None:
    from vardata.cli.main import _COMMANDS

    assert {words[0] for words in COMMANDS} == {*_COMMANDS, "--help"}


@pytest.mark.parametrize("words", COMMANDS)
def test_ctrl_c_while_the_program_loads_is_one_line(shop: Shop, words: tuple[str, ...]) -> None:
    module = "click" if words == ("--help",) else f"vardata.cli.{words[0]}"
    for name, stop, code, line in (
        (module, "SIGINT", 130, "interrupted; nothing was left behind"),
        ("click", "SIGTERM", 143, "stopped; nothing was left behind"),
    ):
        source = START.format(SLOW_IMPORT.format(name=name, stop=stop))
        done = subprocess.run(
            [sys.executable, "-c", source, *words], capture_output=True, text=True, timeout=60,
            check=False,
        )  # fmt: skip
        assert (done.returncode, done.stdout, done.stderr) == (code, "", f"{line}\n")


def test_ctrl_c_that_a_library_makes_an_error_of_is_one_line(shop: Shop) -> None:
    """As pydantic does while it builds a model: it raises an exception of its own."""
    spoil = (
        "import os, signal, vardata.job.load as load\n"
        "def hidden(*_):\n"
        "    try:\n"
        "        os.kill(os.getpid(), signal.SIGINT)\n"
        "        import time; time.sleep(5)\n"
        "    except BaseException as error:\n"
        "        raise RuntimeError('schema') from error\n"
        "load.load_setup = hidden\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", START.format(spoil), "check", "job.toml"], capture_output=True,
        text=True, timeout=60, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (130, "interrupted; nothing was left behind\n")


@pytest.mark.parametrize("words", [("check", "job.toml"), ("build", "job.toml", "--out", "run")])
def test_a_closed_pipe_is_no_error(shop: Shop, words: tuple[str, ...]) -> None:
    reader, writer = os.pipe()
    os.close(reader)
    done = subprocess.run(
        [*COMMAND, *words, "--workers", "1"], stdout=writer, stderr=subprocess.PIPE, text=True,
        timeout=120, check=False,
    )  # fmt: skip
    os.close(writer)
    assert (done.returncode, done.stderr) == (141, "")
    assert (shop.path / "run" / "run.json").is_file() == (words[0] == "build")
