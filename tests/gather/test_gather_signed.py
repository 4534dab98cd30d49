"""Signatures of a device over what its record held."""

from __future__ import annotations

import stat
import sys
from pathlib import Path

import pytest
from support.gathered import copied, device, merged, more

from assistant.cli import main
from assistant.commands.gathering import sign_where_asked
from assistant.errors import RecordBroken, RecordProblem, UsageProblem
from assistant.gather import keys, signatures

serialization = pytest.importorskip(
    "cryptography.hazmat.primitives.serialization", reason="the extra sign is not installed"
)


@pytest.fixture
def key(tmp_path, monkeypatch) -> bytes:
    """Make a key for this device."""
    monkeypatch.setenv("LAPCALL_DATA", str(tmp_path / "data"))
    return keys.make_key()


@pytest.fixture
def signed(tmp_path, key) -> Path:
    """Return a record that was signed."""
    assert key
    folder = device(tmp_path / "a")
    keys.sign(folder)
    return folder


def test_key_is_private_and_kept(key):
    """The key is its owner's alone, and is not replaced by another."""
    assert keys.public_key() == key
    if sys.platform != "win32":
        assert stat.S_IMODE(keys.key_file().stat().st_mode) == 0o600
    with pytest.raises(UsageProblem, match="has a key already"):
        keys.make_key()


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such modes")
def test_key_that_others_can_read(tmp_path, key):
    """A key that others can read signs nothing."""
    assert key
    keys.key_file().chmod(0o644)
    with pytest.raises(RecordProblem, match="Others on this machine can read"):
        keys.sign(device(tmp_path / "a"))


def test_without_a_key(tmp_path, monkeypatch):
    """Signing without a key says how to make one."""
    monkeypatch.setenv("LAPCALL_DATA", str(tmp_path / "data"))
    with pytest.raises(UsageProblem, match="--make-key"):
        keys.sign(device(tmp_path / "a"))


def test_signed_record(signed, key):
    """A signature holds, names its key, and says how much it does not cover."""
    assert signatures.check(signed) == (
        (),
        (f"The first 3 lines are signed by the key {signatures.fingerprint(key)}.",),
    )
    more(signed)
    assert "The line behind them is not signed" in signatures.check(signed)[1][0]


def cut(folder: Path) -> None:
    """Take whole lines from a record's end."""
    path = folder / "record.jsonl"
    path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:2]))


def other(folder: Path) -> None:
    """Put another whole record in its place."""
    device(folder.parent / "other", 7)
    (folder / "record.jsonl").write_bytes((folder.parent / "other/record.jsonl").read_bytes())


def forge(folder: Path) -> None:
    """Change the signature."""
    (path,) = folder.glob("record.signed-*")
    found = signatures.parsed(path.read_bytes())
    assert found is not None
    changed = signatures.Signature(found.lines, found.head, found.key, "00" + found.value[2:])
    path.write_bytes(changed.content)


def nonsense(folder: Path) -> None:
    """Write something else under a signature's name."""
    (folder / "record.signed-9-x.json").write_bytes(b"[]")


@pytest.mark.parametrize(
    ("spoil", "told"),
    [
        (cut, "lines were cut from its end"),
        (other, "is not what the key"),
        (forge, "is false"),
        (nonsense, "is no signature"),
    ],
)
def test_what_does_not_hold(signed, spoil, told, capsys):
    """Cut ends, records written anew and false signatures are told by verify."""
    spoil(signed)

    assert any(told in problem for problem in signatures.check(signed)[0])
    assert main(["verify", "--record", str(signed)]) == 7
    assert told in capsys.readouterr().out


def test_broken_record_is_not_signed(tmp_path, key):
    """What is not whole is not signed."""
    assert key
    folder = device(tmp_path / "a")
    path = folder / "record.jsonl"
    path.write_bytes(path.read_bytes()[:-5])
    with pytest.raises(RecordBroken):
        keys.sign(folder)


def test_key_and_signature_come_along(signed, tmp_path, key):
    """The signature lies beside the gathered record, the public key in the job folder."""
    merged(tmp_path / "job", signed)
    (record,) = (tmp_path / "job/records").iterdir()
    pem = (tmp_path / f"job/keys/{signatures.fingerprint(key)}.pem").read_bytes()

    assert serialization.load_pem_public_key(pem).public_bytes_raw() == key
    assert signatures.check(record) == signatures.check(signed)


def test_the_branch_that_was_not_signed(tmp_path, signed):
    """Of two branches verify tells which one the device did not sign."""
    branch = more(copied(signed, tmp_path / "b"), "held")
    keys.sign(more(signed, "stopped"))
    merged(tmp_path / "job", signed, branch)
    found = [signatures.check(folder) for folder in (tmp_path / "job/records").iterdir()]

    assert sorted(len(problems) for problems, _ in found) == [0, 1]


def test_a_closed_shift_is_signed_where_there_is_a_key(tmp_path, monkeypatch, capsys):
    """Closing signs on a device with a key, does nothing without, and never fails for it."""
    monkeypatch.setenv("LAPCALL_DATA", str(tmp_path / "data"))
    folder = device(tmp_path / "a")
    sign_where_asked(folder)
    assert signatures.check(folder) == ((), ())
    keys.make_key()
    sign_where_asked(folder)
    assert len(signatures.check(folder)[1]) == 1
    keys.key_file().chmod(0o644)
    sign_where_asked(folder)

    assert "was not signed" in capsys.readouterr().err


def test_without_the_library(signed, monkeypatch):
    """Without the library nothing is called false or true."""
    monkeypatch.setitem(sys.modules, "cryptography.exceptions", None)

    assert signatures.check(signed) == ((), (signatures.NO_LIBRARY,))
