"""One line of a record: bytes to ``Entry`` and back, as pure functions.

Imports ``older`` only. A line is one JSON object in UTF-8 without spaces: ``v``, ``seq``, ``at``,
``zone`` and ``kind`` first, for a reader's eye, then its fields by name, then ``up_ms``, a clock
that nobody sets, ``prev``, the SHA-256 of the bytes of the line before, and last ``sum``, the
SHA-256 of its own bytes without ``sum``. So a changed byte is found in the last line too, which
nothing follows yet. Hashes are always taken over the stored bytes, never over
something written anew.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import MAXYEAR, MINYEAR, datetime, timedelta, timezone
from functools import lru_cache

from assistant.record.older import FIRST, FORMAT, upgraded

GENESIS = "0" * 64
"""What the first line names as the line before it."""

OWN_KEYS = frozenset({"v", "seq", "at", "zone", "kind", "up_ms", "prev", "sum"})
"""Keys that the record itself fills; ``fields`` must not hold them."""

_SUM = re.compile(rb',"sum":"([0-9a-f]{64})"\}')
_SUM_LENGTH = len(b',"sum":""}') + 64
_ZONE = re.compile(r"[+-][0-9][0-9]:[0-9][0-9]")
_AT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{3}Z")


class BadLine(Exception):
    """Bytes that are no line of a record; ``str()`` says what is wrong, as a clause."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of a record."""

    seq: int
    """Its number; the first line has 0."""
    at: datetime
    """When it was written, in UTC, to the millisecond."""
    zone: str
    """Offset of the local time there and then, such as ``+01:00``."""
    kind: str
    fields: Mapping[str, object]
    """What else it holds; ``record.kinds`` tells it for each kind. Of a line of an older format, as
    this one would hold it."""
    prev: str
    """SHA-256 of the line before, in hex."""
    digest: str
    """SHA-256 of this line's bytes, in hex."""
    up_ms: int | None = None
    """Milliseconds since the first line that this opening of the record wrote, by a clock that
    nobody sets; that line has 0. None in lines from before there was one."""
    version: int = FORMAT
    """The format that it was written in."""

    @property
    def local(self) -> datetime:
        """``at`` in the local time there and then."""
        return self.at.astimezone(_zone(self.zone))


def to_line(  # noqa: PLR0913 - a line has no fewer
    seq: int,
    moment: datetime,
    kind: str,
    fields: Mapping[str, object],
    prev: str,
    *,
    up_ms: int | None = None,
) -> bytes:
    """Return the bytes of a line, without the newline.

    ``moment`` is any aware time; a naive one is taken as local. ``up_ms`` is left out where None.

    Raises:
        ValueError: a field has a key that is the record's own, or a value that JSON lacks.
        TypeError: a value is no plain data (write exact numbers as text, such as ``"5/4"``).
    """
    taken = OWN_KEYS & fields.keys()
    if taken:
        raise ValueError(f"the record itself fills {', '.join(sorted(taken))}")
    local = moment if moment.tzinfo else moment.astimezone()
    utc = local.astimezone(timezone.utc)
    whole = {
        "v": FORMAT,
        "seq": seq,
        "at": utc.strftime("%Y-%m-%dT%H:%M:%S.") + f"{utc.microsecond // 1000:03d}Z",
        "zone": _offset(local),
        "kind": kind,
        **dict(sorted(fields.items())),
        **({} if up_ms is None else {"up_ms": up_ms}),
        "prev": prev,
    }
    text = json.dumps(whole, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    body = text.encode("utf-8", "replace")  # a stray half of a pair must not stop the record
    return body[:-1] + f',"sum":"{hashlib.sha256(body).hexdigest()}"}}'.encode()


def to_entry(line: bytes) -> Entry:
    """Return the entry that a line holds, given its bytes without the newline.

    Raises:
        BadLine: it is no line of a record, or not the bytes that were written.
    """
    found = _SUM.fullmatch(line[-_SUM_LENGTH:])
    body = line[:-_SUM_LENGTH] + b"}"
    if found is None or hashlib.sha256(body).hexdigest().encode() != found[1]:
        raise BadLine("is not as it was written")
    return parsed(line)


def parsed(line: bytes) -> Entry:
    """Return what a line says without asking whether it was changed.

    For showing a broken record, never for going on with it.

    Raises:
        BadLine: it is no line of a record.
    """
    try:
        fields = json.loads(line)
        own = fields.pop  # what is left is what the line holds beside our keys
        at, zone = _moment(own("at")), own("zone")
        _zone(zone)  # so that ``local`` cannot fail later
        seq, kind, prev, up_ms = own("seq"), own("kind"), own("prev"), own("up_ms", None)
        version = own("v", FIRST)
        own("sum", None)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as problem:
        raise BadLine("is not a line of a record") from problem
    if not (type(seq) is int and isinstance(kind, str) and isinstance(prev, str)):
        raise BadLine("is not a line of a record")
    if up_ms is not None and type(up_ms) is not int:
        raise BadLine("is not a line of a record")
    if type(version) is not int or version < FIRST:
        raise BadLine("is not a line of a record")
    if version < FORMAT:
        fields = upgraded(version, kind, fields)
    return Entry(seq, at, zone, kind, fields, prev, digest(line), up_ms, version)


def digest(line: bytes) -> str:
    """Return the SHA-256 of a line's bytes, in hex."""
    return hashlib.sha256(line).hexdigest()


def _offset(moment: datetime) -> str:
    offset = moment.utcoffset() or timedelta()
    minutes = round(offset.total_seconds() / 60)
    hours, rest = divmod(abs(minutes), 60)
    return f"{'-' if minutes < 0 else '+'}{hours:02d}:{rest:02d}"


def _moment(text: str) -> datetime:
    if not _AT.fullmatch(text):
        raise ValueError(f"{text} is no time")
    moment = datetime.fromisoformat(text[:-1] + "+00:00")
    if not MINYEAR < moment.year < MAXYEAR:
        raise ValueError(f"{text} has no local time everywhere")
    return moment


@lru_cache(maxsize=128)
def _zone(text: str) -> timezone:
    if not _ZONE.fullmatch(text):
        raise ValueError(f"{text} is no offset")
    offset = timedelta(hours=int(text[1:3]), minutes=int(text[4:6]))
    return timezone(-offset if text[0] == "-" else offset)
