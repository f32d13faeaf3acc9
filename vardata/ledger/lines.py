"""The lines of a family of runs as the ledger knew them, beside the lines of one order sheet.

In: the ledger's file (only read, and only up to the last run that was finished when it was
opened), and the sheet's lines as they pass. Out: what earlier runs built of a line, which lines
are gone since, and at the end what this run adds. The sheet's lines wait in a scratch database
on disk, so that memory does not grow with the sheet.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple, Self

from vardata.ledger import linefile
from vardata.ledger.linefile import BuiltLine, ToldLine, built_since, run_number, write_lines
from vardata.problems import OutputError, fail

_WAIT = 30.0  # seconds to wait for a run that is writing
_SCRATCH = """
CREATE TABLE seen (
    order_no TEXT NOT NULL, line TEXT NOT NULL, place TEXT NOT NULL UNIQUE, row INTEGER NOT NULL,
    content BLOB NOT NULL, quantity INTEGER NOT NULL, state TEXT NOT NULL,
    PRIMARY KEY (order_no, line)
) STRICT, WITHOUT ROWID;
CREATE TABLE put (
    place TEXT NOT NULL, piece INTEGER NOT NULL, bed INTEGER NOT NULL, slot TEXT NOT NULL,
    PRIMARY KEY (place, piece)
) STRICT, WITHOUT ROWID;
CREATE TABLE held (row INTEGER PRIMARY KEY) STRICT;
CREATE TABLE torn (
    order_no TEXT NOT NULL, line TEXT NOT NULL, PRIMARY KEY (order_no, line)
) STRICT, WITHOUT ROWID;
"""
_PIECES = """
SELECT piece, MAX(seq), content, quantity, bed, slot FROM old.line_piece
WHERE family = ? AND order_no = ? AND line = ? AND seq <= ? GROUP BY piece ORDER BY piece
"""
_BUILT = """
SELECT order_no, line, piece, content, quantity, row, bed, slot
FROM put JOIN seen USING (place) ORDER BY order_no, line, piece
"""
# A line is gone if its order is in the sheet and it is not, or if it stood between two lines
# of its run's sheet that this sheet has: an export of another period says nothing of the rest.
_GONE = """
WITH latest AS (
    SELECT order_no, line, MAX(seq) AS seq, row, bed, slot FROM old.line_piece
    WHERE family = ? AND seq <= ? GROUP BY order_no, line
), shared AS (
    SELECT l.seq, MIN(l.row) AS low, MAX(l.row) AS high
    FROM latest l JOIN seen USING (order_no, line) GROUP BY l.seq
)
SELECT l.order_no, l.line, l.seq, l.bed, l.slot
FROM latest l LEFT JOIN seen s USING (order_no, line) LEFT JOIN shared h ON h.seq = l.seq
WHERE s.line IS NULL
  AND (l.row BETWEEN h.low AND h.high OR l.order_no IN (SELECT order_no FROM seen))
ORDER BY l.seq, l.row, l.order_no, l.line
"""


class Piece(NamedTuple):
    """A piece as it was last built; ``seq`` is the run's number in the order of runs."""

    piece: int
    seq: int
    content: bytes
    quantity: int
    bed: int
    slot: str


class Told(NamedTuple):
    content: bytes
    quantity: int
    seq: int
    why: str


class Gone(NamedTuple):
    """A line that was built and that the sheet has no more."""

    order: str
    line: str
    run_id: str
    bed: int
    slot: str


class Lines:
    """One reading of the ledger and one sheet; to be closed.

    ``again`` is the id of a run that is made again: what it and later runs built is not seen.
    Raises ``OutputError``; ``KeyError`` for an ``again`` that is not known.
    """

    def __init__(self, path: Path, family: str, again: str | None = None) -> None:
        self._family = family
        self._path = path
        self._columns: dict[int, tuple[str, ...]] = {}
        self._runs: dict[int, str] = {}
        self._db = sqlite3.connect("", timeout=_WAIT, isolation_level=None, uri=True)
        try:
            # A database of its own on disk, gone with the connection: nothing to keep safe.
            self._db.execute("PRAGMA journal_mode = OFF")
            self._attach()
            self._db.executescript(_SCRATCH)
            self.opened = self._one("SELECT COALESCE(MAX(seq), 0) FROM old.line_run") or 0
            self._until = self.opened
            if again is not None:
                seq = self._one("SELECT seq FROM old.line_run WHERE run_id = ?", again)
                if seq is None:
                    raise KeyError(again)
                self._until = seq - 1
        except sqlite3.Error as error:
            self._db.close()
            raise _unreadable(path, error) from None
        except KeyError:
            self._db.close()
            raise

    def _attach(self) -> None:
        """The ledger, read only, or an empty one where there are no lines yet."""
        if self._path.exists():
            uri = f"{self._path.absolute().as_uri()}?mode=ro"
            self._db.execute("ATTACH DATABASE ? AS old", (uri,))
            if self._one("SELECT 1 FROM old.sqlite_master WHERE name = 'line_told'"):
                return
            self._db.execute("DETACH DATABASE old")
        self._db.execute("ATTACH DATABASE ':memory:' AS old")
        schema = linefile.SCHEMA.replace("IF NOT EXISTS ", "IF NOT EXISTS old.")
        self._db.executescript(schema)

    def _one(self, query: str, *values: object) -> int | None:
        row = self._db.execute(query, values).fetchone()
        return None if row is None else int(row[0])

    # ------------------------------------------------------------ what earlier runs did

    def pieces(self, order: str, line: str) -> list[Piece]:
        """The pieces of a line, each as it was last built."""
        rows = self._db.execute(_PIECES, (self._family, order, line, self._until))
        return [Piece(*row) for row in rows.fetchall()]

    def told(self, order: str, line: str) -> list[Told]:
        """Other contents of a line that are known."""
        rows = self._db.execute(
            "SELECT content, quantity, seq, why FROM old.line_told"
            " WHERE family = ? AND order_no = ? AND line = ? AND seq <= ?",
            (self._family, order, line, self._until),
        )
        return [Told(*row) for row in rows.fetchall()]

    def columns(self, seq: int) -> tuple[str, ...]:
        """The columns whose digests a run's contents hold, in their order."""
        if seq not in self._columns:
            self._look_up(seq)
        return self._columns[seq]

    def run_id(self, seq: int) -> str:
        if seq not in self._runs:
            self._look_up(seq)
        return self._runs[seq]

    def _look_up(self, seq: int) -> None:
        row = self._db.execute(
            "SELECT run_id, columns FROM old.line_run WHERE seq = ?", (seq,)
        ).fetchone()
        self._runs[seq], self._columns[seq] = row[0], tuple(json.loads(row[1]))

    def gone(self) -> Iterator[Gone]:
        """Lines that were built and are in the sheet no more; see ``_GONE`` for the rule."""
        for order, line, seq, bed, slot in self._db.execute(_GONE, (self._family, self._until)):
            yield Gone(order, line, self.run_id(seq), bed, slot)

    # ------------------------------------------------------------ the sheet

    def clear(self) -> None:
        """The sheet is read from its start."""
        for table in ("seen", "put", "held"):
            self._db.execute(f"DELETE FROM {table}")

    def see(
        self,
        order: str,
        line: str,
        place: str,
        row: int,
        content: bytes,
        quantity: int,
        state: str,
    ) -> int | None:
        """Notes a line of the sheet. Gives the row that has the same order and line, if any."""
        try:
            self._db.execute(
                "INSERT INTO seen VALUES (?, ?, ?, ?, ?, ?, ?)",
                (order, line, place, row, content, quantity, state),
            )
        except sqlite3.IntegrityError:
            return self._one("SELECT row FROM seen WHERE order_no = ? AND line = ?", order, line)
        return None

    def tear(self, order: str, line: str, content: bytes, quantity: int) -> None:
        """Notes a line that comes again; if it is not the same then, it is torn."""
        self._db.execute(
            "INSERT OR IGNORE INTO torn SELECT order_no, line FROM seen WHERE order_no = ?"
            " AND line = ? AND (content != ? OR quantity != ?)",
            (order, line, content, quantity),
        )

    def torn(self, order: str, line: str) -> bool:
        """Whether a line comes in several forms."""
        found = self._one("SELECT 1 FROM torn WHERE order_no = ? AND line = ?", order, line)
        return found is not None

    # ------------------------------------------------------------ the end of a run

    def place(self, pieces: Iterable[tuple[str, int, str]], held: Iterable[int]) -> None:
        """Where the run's records lie (key, bed, slot), and which rows it held."""
        self._db.executemany(
            "INSERT INTO put VALUES (?, ?, ?, ?)",
            (
                (key.rpartition("#")[0], int(key.rpartition("#")[2]), bed, slot)
                for key, bed, slot in pieces
            ),
        )
        self._db.executemany("INSERT OR IGNORE INTO held VALUES (?)", ((row,) for row in held))

    def write(self, connection: sqlite3.Connection, run_id: str, columns: tuple[str, ...]) -> None:
        """Adds this run to the ledger, in the transaction of its finish.

        Raises ``OutputError`` if another run has built some of these pieces meanwhile.
        """
        seq = run_number(connection, run_id, json.dumps(columns))
        twice = built_since(connection, self._family, self.opened, seq, self._built())
        if twice:
            raise fail(
                OutputError,
                "built-meanwhile",
                f"another run has built {twice} of these pieces while this one was made",
                "build again: what is built by then is skipped",
            )
        write_lines(connection, self._family, seq, self._built(), self._told())

    def _built(self) -> Iterator[BuiltLine]:
        for row in self._db.execute(_BUILT):
            yield BuiltLine(*row)

    def _told(self) -> Iterator[ToldLine]:
        """Held rows of which nothing was printed in another form, and settled ones."""
        rows = self._db.execute(
            "SELECT order_no, line, content, quantity,"
            " CASE WHEN state = 'settled' THEN 'settled' ELSE 'held' END FROM seen"
            " WHERE state = 'settled'"
            " OR (state IN ('new', 'rest') AND row IN (SELECT row FROM held))"
        )
        for row in rows:
            yield ToldLine(*row)

    def close(self) -> None:
        self._db.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *exc: object) -> None:
        self.close()


def _unreadable(path: Path, error: sqlite3.Error) -> Exception:
    return fail(
        OutputError,
        "ledger",
        f"the ledger cannot be read: {error}",
        'make the file readable, or name another with "ledger" in the job',
        file=str(path),
    )
