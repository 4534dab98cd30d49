"""The device's own key: made when asked for, and signing what a record holds so far.

Imports ``gather.signatures``, ``record``, ``places`` and ``errors``; needs ``cryptography`` (the
extra ``sign``), loaded only here and only when used.
"""

from __future__ import annotations

import os
import stat
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from assistant import places
from assistant.errors import RecordBroken, RecordProblem, UsageProblem
from assistant.gather.signatures import Signature, signed_bytes
from assistant.record import chain, disk
from assistant.record.journal import FILE_NAME

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

_NAME = "device-key.pem"


def key_file() -> Path:
    """Return where the device's key lies."""
    return places.data() / _NAME


def make_key() -> bytes:
    """Make the device's key, readable by its owner alone; return the public half, 32 bytes.

    Raises:
        UsageProblem: there is one already, or the library is missing.
        RecordProblem: the disk refuses.
    """
    _need_library()
    from cryptography.hazmat.primitives import serialization  # noqa: PLC0415 - an extra
    from cryptography.hazmat.primitives.asymmetric.ed25519 import (  # noqa: PLC0415
        Ed25519PrivateKey,
    )

    key = Ed25519PrivateKey.generate()
    content = key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    path = key_file()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(descriptor, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        disk.DISK.sync_folder(path.parent)
    except FileExistsError as error:
        raise UsageProblem(
            f"This device has a key already: {path}. What it signed can be checked with it alone, "
            "so it is not replaced."
        ) from error
    except OSError as error:
        raise disk.problem_of(error, path) from error
    return key.public_key().public_bytes_raw()


def public_key() -> bytes:
    """Return the public half of the device's key; raises ``UsageProblem``."""
    return _load().public_key().public_bytes_raw()


def sign(folder: Path) -> Signature:
    """Sign what the record in ``folder`` holds now, and write the signature beside it.

    Raises:
        UsageProblem: there is no key, or no library, or no record.
        RecordBroken: the record is not whole; such a one is not signed.
        RecordProblem: the disk refuses.
    """
    key = _load()
    try:
        found = chain.read((folder / FILE_NAME).read_bytes())
    except OSError as error:
        raise UsageProblem(f"There is no record in {folder}. Name its folder.") from error
    if found.broken or found.torn or not found.lines:
        raise RecordBroken(
            f"The record in {folder} is not whole, and was not signed. lapcall verify says what is "
            "wrong."
        )
    lines, head = len(found.lines), found.head
    value = key.sign(signed_bytes(lines, head)).hex()
    signature = Signature(lines, head, key.public_key().public_bytes_raw().hex(), value)
    try:
        disk.write_whole(disk.DISK, folder / signature.file_name, signature.content)
    except OSError as error:
        raise disk.problem_of(error, folder / signature.file_name) from error
    return signature


def _load() -> Ed25519PrivateKey:
    _need_library()
    from cryptography.hazmat.primitives import serialization  # noqa: PLC0415 - an extra
    from cryptography.hazmat.primitives.asymmetric.ed25519 import (  # noqa: PLC0415
        Ed25519PrivateKey,
    )

    path = key_file()
    try:
        mode = path.stat().st_mode
        content = path.read_bytes()
    except FileNotFoundError as error:
        raise UsageProblem(
            "This device has no key. Make one with lapcall sign --make-key."
        ) from error
    except OSError as error:
        raise RecordProblem(f"The key {path} cannot be read ({error.strerror}).") from error
    if sys.platform != "win32" and stat.S_IMODE(mode) & 0o077:
        raise RecordProblem(
            f"Others on this machine can read the key {path}, so it proves nothing. Make it yours "
            "alone with chmod 600, or make another on a device that is."
        )
    try:
        key = serialization.load_pem_private_key(content, None)
    except (ValueError, TypeError) as error:
        raise RecordProblem(f"{path} holds no key that can be used.") from error
    if not isinstance(key, Ed25519PrivateKey):
        raise RecordProblem(f"{path} holds a key of another kind.")
    return key


def _need_library() -> None:
    try:
        import cryptography  # noqa: F401, PLC0415 - an extra
    except ImportError as error:
        raise UsageProblem(
            "Signing needs the package cryptography. Install it with pip install 'lapcall[sign]'."
        ) from error
