"""Export into a real PostgreSQL, where one is installed; into SQLite by URL in any case."""

from __future__ import annotations

import os
import shutil
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from support.gathered import copied, device, more
from support.records import JOB, scribe

from assistant.errors import UsageProblem
from assistant.gather.columns import TABLES
from assistant.gather.rows import shifts

sqlalchemy = pytest.importorskip("sqlalchemy", reason="the extra sql is not installed")

from assistant.gather.sql_out import write_sql  # noqa: E402 - behind the check for its library

_FOLDERS = [*sorted(Path("/usr/lib/postgresql").glob("*/bin")), Path("/usr/local/bin")]


def program(name: str) -> str | None:
    """Return a program of the database server, which Debian keeps off PATH."""
    return shutil.which(name, path=os.pathsep.join(map(str, _FOLDERS))) or shutil.which(name)


@pytest.fixture(scope="module")
def postgres(tmp_path_factory) -> Iterator[str]:
    """Start a server of our own, without a network, and return the URL of its database."""
    pytest.importorskip("psycopg", reason="the driver psycopg is not installed")
    if not (program("initdb") and program("postgres")):
        pytest.skip("PostgreSQL is not installed")
    base = tmp_path_factory.mktemp("postgres")
    as_user: list[str] = []
    if os.getuid() == 0:  # the server refuses to run as root
        if shutil.which("runuser") is None or shutil.which("getent") is None:
            pytest.skip("PostgreSQL does not run as root, and there is no runuser")
        as_user = ["runuser", "-u", "postgres", "--"]
        for folder in (base, *base.parents):
            if folder == Path(folder.anchor) or folder == Path("/tmp"):  # noqa: S108
                break
            folder.chmod(folder.stat().st_mode | 0o011)
        shutil.chown(base, "postgres")
    data = base / "data"
    make = [*as_user, str(program("initdb")), "-D", str(data), "-A", "trust", "-U", "crew", "-N"]
    made = subprocess.run(make, capture_output=True, check=False, cwd=base)
    if made.returncode:
        pytest.skip(f"PostgreSQL cannot be set up here: {made.stderr.decode()[-200:]}")
    serve = [*as_user, str(program("postgres")), "-D", str(data), "-k", str(base), "-h", ""]
    with (base / "log").open("wb") as log:
        server = subprocess.Popen(serve, stdout=log, stderr=log, cwd=base)
    try:
        yield waited_for(f"postgresql+psycopg://crew@/postgres?host={base}")
    finally:
        server.terminate()
        server.wait(30)


def waited_for(url: str) -> str:
    """Return the URL once the server answers."""
    engine = sqlalchemy.create_engine(url)
    for _ in range(100):
        try:
            engine.connect().close()
        except sqlalchemy.exc.OperationalError:
            time.sleep(0.2)
        else:
            engine.dispose()
            return url
    pytest.fail("PostgreSQL did not start")


@pytest.fixture(params=["sqlite", "postgres"])
def url(request, tmp_path) -> str:
    """Return the URL of an empty database."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'db'}"
    found: str = request.getfixturevalue("postgres")
    engine = sqlalchemy.create_engine(found)
    with engine.begin() as connection:
        for table in (*[f"lapcall_{name}" for name in TABLES], "lapcall_schema"):
            connection.execute(sqlalchemy.text(f"DROP TABLE IF EXISTS {table}"))
    engine.dispose()
    return found


def everything(url: str) -> dict[str, list[tuple[object, ...]]]:
    """Return all rows of all tables."""
    engine = sqlalchemy.create_engine(url)
    with engine.connect() as connection:
        found = {
            name: sorted(
                map(tuple, connection.execute(sqlalchemy.text(f"SELECT * FROM lapcall_{name}"))),  # noqa: S608
                key=str,
            )
            for name in TABLES
        }
    engine.dispose()
    return found


def test_once_and_again(url, tmp_path):
    """What is exported is there once, and comes out as it went in."""
    folder = device(tmp_path / "a", tests=2)
    (shift,) = shifts([folder])
    first = write_sql(url, [shift])
    again = write_sql(url, [shift])
    expected = {
        "shift": [tuple(shift.row.values())],
        "line": [tuple(row.values()) for row in shift.lines.values()],
        "test": [tuple(row.values()) for row in shift.tests.values()],
    }

    assert (first.shifts, first.lines, first.tests) == (1, 5, 2)
    assert (again.shifts, again.lines, again.tests, again.changed) == (0, 0, 0, 0)
    assert everything(url) == {name: sorted(rows, key=str) for name, rows in expected.items()}


def test_any_order(url, tmp_path):
    """More of a shift adds what is new; older copies take nothing away."""
    folder = device(tmp_path / "a", 1)
    early = copied(folder, tmp_path / "early")
    write_sql(url, shifts([early]))
    grown = write_sql(url, shifts([more(folder)]))
    whole = everything(url)
    write_sql(url, shifts([early]))

    assert (grown.shifts, grown.lines, grown.tests) == (0, 1, 0)
    assert everything(url) == whole


def test_hostile_words(url, tmp_path):
    """Words that no database takes, or that look like SQL, go in as words."""
    evil = "Robert'); DROP TABLE lapcall_test;-- \0 \ud800 \N{SNOWMAN}"
    with scribe(tmp_path / "a") as writer:
        writer.begin(job={**JOB, "welder": evil})
        writer.judged("pass", None)
    write_sql(url, shifts([tmp_path / "a"]))
    (row,) = everything(url)["test"]

    assert any("DROP TABLE" in str(value) and "\N{SNOWMAN}" in str(value) for value in row)


@pytest.mark.parametrize("bad", ["nonsense", "postgresql+psycopg://nobody@127.0.0.1:1/x", ""])
def test_bad_urls(bad):
    """A URL that leads nowhere gets a sentence without the password in it."""
    with pytest.raises(UsageProblem) as told:
        write_sql(bad.replace("nobody", "nobody:hush"), [])

    assert "hush" not in str(told.value)
