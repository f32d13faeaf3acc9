"""Rows of a database as a file of JSON lines, so that they can be read as often as wanted.

In: the database's URL, as SQLAlchemy writes it, and a query. Out: a file that is gone when the
program ends. Nothing is ever written to the database: only a query is let through, in a
transaction that is rolled back. Raises ``SheetError``, never with the URL: it may hold a password.
"""

from __future__ import annotations

import atexit
import json
import re
import shutil
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from vardata.problems import SheetError, VardataError, fail

if TYPE_CHECKING:
    import sqlalchemy

_COMMENTS = re.compile(r"--[^\n]*|/\*.*?\*/", re.DOTALL)
_TEXTS = re.compile(r"'(?:[^']|'')*'")
_BATCH = 1000
# How a transaction is kept from writing, by the name of the database's dialect.
_READ_ONLY = {
    "postgresql": "SET TRANSACTION READ ONLY",
    "mysql": "SET SESSION TRANSACTION READ ONLY",
    "mariadb": "SET SESSION TRANSACTION READ ONLY",
    "sqlite": "PRAGMA query_only = ON",
}


def kept_for_now(name: str) -> Path:
    """A path for a file that is gone when the program ends."""
    folder = tempfile.mkdtemp(prefix="vardata-sheet-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return Path(folder) / name


def refused(query: str) -> tuple[str, str] | None:
    """Why a query is not let through, and how to mend it."""
    bare = _TEXTS.sub("''", _COMMENTS.sub(" ", query)).strip().rstrip(";").strip()
    if not re.match(r"(?:select|with)\b", bare, re.IGNORECASE) or ";" in bare:
        return "it is not one SELECT", "write one query that begins with SELECT or WITH"
    if not re.search(r"\border\s+by\b", bare, re.IGNORECASE):
        return "it does not say in which order rows come", "end it with ORDER BY a unique column"
    return None


def query_rows(url: str, query: str, folder: Path, file: str) -> Path:
    """Runs the query and gives the file of its rows. ``folder`` is where a database that is a
    file lies, ``file`` the job file, for messages."""

    def bad(what: str, remedy: str, key: str) -> VardataError:
        return fail(SheetError, "no-query", what, remedy, file=file, key=f"sheet.{key}")

    import sqlalchemy
    from sqlalchemy.exc import ArgumentError, NoSuchModuleError, SQLAlchemyError

    if why := refused(query):
        raise bad(f"the query is refused: {why[0]}", why[1], "query")
    path = kept_for_now("query.jsonl")
    try:
        engine = sqlalchemy.create_engine(_located(sqlalchemy.make_url(url), folder))
        with engine.connect() as connection:
            if command := _READ_ONLY.get(engine.dialect.name):
                connection.execute(sqlalchemy.text(command))
            rows = connection.execution_options(stream_results=True).execute(sqlalchemy.text(query))
            _write(path, rows)
            connection.rollback()
        engine.dispose()
    except FileNotFoundError as error:
        raise bad(f"there is no database file {error}", "check database", "database") from None
    except (ArgumentError, NoSuchModuleError):
        what = "the database's URL cannot be understood, or its kind is not known"
        raise bad(what, 'write it like "sqlite:///shop.db"', "database") from None
    except ImportError as error:
        what = f"the driver of this database is not installed ({error.name})"
        raise bad(what, f"install the package {error.name}", "database") from None
    except SQLAlchemyError as error:
        why_not = str(getattr(error, "orig", None) or error).strip().splitlines()[0]
        what = f"the database refuses the query: {why_not}"
        raise bad(what, "check the query and the database", "query") from None
    return path


def _located(url: sqlalchemy.URL, folder: Path) -> sqlalchemy.URL:
    """A database that is a file is found from the job's folder, and never made."""
    if url.get_backend_name() != "sqlite" or not url.database or url.database == ":memory:":
        return url
    path = folder / url.database
    if not path.is_file():
        raise FileNotFoundError(repr(url.database))
    return url.set(database=str(path))


def _write(path: Path, rows: Any) -> None:
    """Each row as an object; what JSON does not know is written as the database shows it."""
    names = list(rows.keys())
    with path.open("w", encoding="utf-8") as file:
        for batch in rows.partitions(_BATCH):
            for row in batch:
                record = dict(zip(names, row))
                file.write(json.dumps(record, ensure_ascii=False, default=str) + "\n")
