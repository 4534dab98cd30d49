"""Signatures beside a record: which line is signed, with which key, and whether it holds.

Imports ``record`` and ``errors``. A signature covers the SHA-256 of one line and so, by the chain,
every line up to it. It proves that somebody who had the key's secret half signed exactly these
lines; it does not prove who that was, when it was, or that what was said is true. Reading a
signature needs no library; checking one needs ``cryptography`` (the extra ``sign``).
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from assistant.record.chain import Walk
from assistant.record.journal import FILE_NAME

PREFIX = "record.signed-"
_FORMAT = "lapcall signature 1"
_HEX_64, _HEX_128 = re.compile(r"[0-9a-f]{64}"), re.compile(r"[0-9a-f]{128}")
_MOST_LINES = 1_000_000_000
_DER_HEAD = bytes.fromhex("302a300506032b6570032100")
"""What stands before the 32 bytes of an Ed25519 public key in a file (RFC 8410)."""
NO_LIBRARY = (
    "Signatures were not checked: that needs the package cryptography. Install it with "
    "pip install 'lapcall[sign]'."
)


@dataclass(frozen=True, slots=True)
class Signature:
    """One signature."""

    lines: int
    """How many lines it covers, from the first on."""
    head: str
    """SHA-256 of the last of them, in hex."""
    key: str
    """The public key, 32 bytes in hex."""
    value: str
    """The signature itself, 64 bytes in hex."""

    @property
    def content(self) -> bytes:
        """The bytes of its file."""
        return _json(
            {
                "format": _FORMAT,
                "lines": self.lines,
                "head": self.head,
                "key": self.key,
                "signature": self.value,
            }
        )

    @property
    def file_name(self) -> str:
        """What its file is called."""
        return f"{PREFIX}{self.lines}-{hashlib.sha256(self.content).hexdigest()[:16]}.json"

    @property
    def key_file(self) -> str:
        """What the file of its public key is called."""
        return f"{fingerprint(bytes.fromhex(self.key))}.pem"

    @property
    def key_pem(self) -> bytes:
        """Its public key as other programs read it."""
        return public_pem(bytes.fromhex(self.key))


def signed_bytes(lines: int, head: str) -> bytes:
    """Return the bytes that are signed for a record's first ``lines`` lines."""
    return f"{_FORMAT}\nlines {lines}\nhead {head}\n".encode("ascii")


def public_pem(key: bytes) -> bytes:
    """Return a public key of 32 bytes as a PEM file."""
    text = base64.b64encode(_DER_HEAD + key).decode("ascii")
    return f"-----BEGIN PUBLIC KEY-----\n{text}\n-----END PUBLIC KEY-----\n".encode("ascii")


def fingerprint(key: bytes) -> str:
    """Return a public key's fingerprint, to be compared by eye: four groups of four."""
    digits = hashlib.sha256(key).hexdigest()
    return "-".join(digits[place : place + 4] for place in range(0, 16, 4))


def parsed(content: bytes) -> Signature | None:
    """Return the signature in a file's bytes, or None where there is none."""
    try:
        whole = json.loads(content)
        found = Signature(whole["lines"], whole["head"], whole["key"], whole["signature"])
        shaped = (
            whole["format"] == _FORMAT
            and type(found.lines) is int
            and 0 < found.lines < _MOST_LINES
            and _HEX_64.fullmatch(found.head)
            and _HEX_64.fullmatch(found.key)
            and _HEX_128.fullmatch(found.value)
        )
    except (ValueError, KeyError, TypeError, RecursionError):
        return None
    return found if shaped else None


def beside(folder: Path) -> Iterator[tuple[str, Signature | None]]:
    """Yield the signatures that lie beside a record, by file name; None is no signature."""
    for path in sorted(folder.glob(f"{PREFIX}*.json")):
        try:
            yield path.name, parsed(path.read_bytes())
        except OSError:
            yield path.name, None


def check(folder: Path) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Hold the signatures beside a record against its lines.

    Returns:
        Sentences about what does not hold, and about what does.
    """
    found = list(beside(folder))
    problems = [f"{name} is no signature." for name, signature in found if signature is None]
    notes: list[str] = []
    signed = [(name, signature) for name, signature in found if signature is not None]
    if not signed:
        return tuple(problems), ()
    count, heads = _lines(folder, {signature.lines for _, signature in signed})
    for name, signature in signed:
        true = is_true(signature)
        if true is None:
            return tuple(problems), (NO_LIBRARY,)
        problem, note = _told(name, signature, count, heads, true=true)
        problems += [problem] if problem else []
        notes += [note] if note else []
    return tuple(problems), tuple(notes)


def _lines(folder: Path, wanted: Collection[int]) -> tuple[int, dict[int, str]]:
    """Return how many lines a record has, and the fingerprints of those that are wanted."""
    heads: dict[int, str] = {}
    count, whole = 0, True
    try:
        with (folder / FILE_NAME).open("rb") as stream:
            for line in Walk(stream):
                count, whole = line.number, whole and not line.problem
                if count in wanted:
                    heads[count] = line.digest if whole else ""
    except OSError:
        return count, heads
    return count, heads


def _told(
    name: str, signature: Signature, count: int, heads: Mapping[int, str], *, true: bool
) -> tuple[str, str]:
    who = f"the key {fingerprint(bytes.fromhex(signature.key))}"
    if not true:
        return f"The signature {name} is false: {who} did not make it.", ""
    if signature.lines not in heads:
        return (
            f"{who[0].upper()}{who[1:]} signed {signature.lines} lines and the record has only "
            f"{count}: lines were cut from its end.",
            "",
        )
    if heads[signature.lines] != signature.head:
        return f"The record is not what {who} signed: line {signature.lines} is another.", ""
    rest = count - signature.lines
    lines = "The line behind them is" if rest == 1 else f"The {rest} lines behind them are"
    behind = f" {lines} not signed." if rest else ""
    return "", f"The first {signature.lines} lines are signed by {who}.{behind}"


def is_true(signature: Signature) -> bool | None:
    """Tell whether the key made this signature; None where the library is missing."""
    try:
        from cryptography.exceptions import InvalidSignature  # noqa: PLC0415 - an extra
        from cryptography.hazmat.primitives.asymmetric.ed25519 import (  # noqa: PLC0415
            Ed25519PublicKey,
        )
    except ImportError:
        return None
    key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(signature.key))
    try:
        key.verify(bytes.fromhex(signature.value), signed_bytes(signature.lines, signature.head))
    except InvalidSignature:
        return False
    return True


def _json(what: Mapping[str, object]) -> bytes:
    return json.dumps(what, ensure_ascii=True, separators=(",", ":")).encode("ascii") + b"\n"
