"""One transaction on a ledger file, and the one line a person reads when it cannot be used."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from vardata.problems import OutputError, fail

_WAIT = 30.0  # seconds to wait for another run that is writing


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
        raise fail(
            OutputError,
            "ledger",
            f"the ledger cannot be used: {error}",
            'make the file writable, or name another with "ledger" in the job',
            file=str(path),
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
        raise fail(
            OutputError,
            "ledger",
            f"the ledger cannot be read: {error}",
            'make the file readable, or name another with "ledger" in the job',
            file=str(path),
        ) from None
    return memory
