"""One transaction on a ledger file, and the one line a person reads when it cannot be used."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from vardata.problems import OutputError, VardataError, fail

_WAIT = 30.0  # seconds to wait for another run that is writing
_MAGIC = b"SQLite format 3\0"  # what every SQLite file begins with (SQLite, "Database File Format")


def check_ledger(path: Path) -> None:
    """Refuses what stands where the ledger belongs and is none, before anything is read.

    No file at all, and an empty one, will become a ledger. Raises ``OutputError``.
    """
    try:
        with path.open("rb") as file:
            start = file.read(len(_MAGIC))
    except FileNotFoundError:
        return
    except OSError as error:
        what, remedy = f"the ledger cannot be read ({error.strerror or error})", "make it readable"
        raise fail(OutputError, "ledger", what, f"{remedy}{_ANOTHER}", file=str(path)) from None
    if start and start != _MAGIC:
        raise _no_ledger(path)


_ANOTHER = ', or name another with "ledger" in the job'


def _no_ledger(path: Path) -> VardataError:
    what = "this file is no ledger: it is not a SQLite database"
    return fail(OutputError, "ledger", what, f"move it away{_ANOTHER}", file=str(path))


@contextmanager
def session(path: Path, schema: str) -> Iterator[sqlite3.Connection]:
    """Opens (and if need be makes) the ledger; what the block does is written whole or not at all.

    The write lock is taken at the start (BEGIN IMMEDIATE), so what the block reads stays true
    until it ends. Raises ``OutputError``.
    """
    try:
        connection = sqlite3.connect(path, timeout=_WAIT, isolation_level=None)
        try:
            connection.executescript(schema)
            with immediate(connection):
                yield connection
        finally:
            connection.close()
    except sqlite3.Error as error:
        check_ledger(path)
        raise fail(
            OutputError, "ledger", f"the ledger cannot be used: {error}",
            f"make the file writable{_ANOTHER}", file=str(path),
        ) from None


@contextmanager
def immediate(connection: sqlite3.Connection) -> Iterator[None]:
    """One transaction on an open connection."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
    except BaseException:
        connection.execute("ROLLBACK")
        raise
    connection.execute("COMMIT")


def copy_in_memory(path: Path, schema: str) -> sqlite3.Connection:
    """A copy of the ledger that can be changed without a trace; an empty one if there is none.

    The file is only read. Raises ``OutputError``.
    """
    memory = sqlite3.connect(":memory:", isolation_level=None)
    try:
        if path.exists():
            uri = f"{path.absolute().as_uri()}?mode=ro"
            source = sqlite3.connect(uri, uri=True, timeout=_WAIT)
            try:
                source.backup(memory)
            finally:
                source.close()
        memory.executescript(schema)
    except sqlite3.Error as error:
        memory.close()
        check_ledger(path)
        raise fail(
            OutputError, "ledger", f"the ledger cannot be read: {error}",
            f"make the file readable{_ANOTHER}", file=str(path),
        ) from None
    return memory
