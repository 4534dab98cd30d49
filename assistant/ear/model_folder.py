"""The folder of a recogniser's model: what kind it is, and what it lacks. Imports ``errors`` only.

Ours holds ``am/final.mdl``, ``conf/`` and a lexicon from which strict graphs are built; it may
hold a second network for a second opinion, ``am/second.mdl``. Any other Vosk model holds a ready
graph instead: a dynamic one (``HCLr.fst`` and ``Gr.fst``), which takes a list of phrases at run
time, or a static one (``HCLG.fst``), which hears its whole language.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from assistant.errors import ModelProblem

SECOND = "am/second.mdl"
_HOW_TO_GET_ONE = (
    "Leave out --model to use the model that comes with Lapcall, or name the unpacked folder of a "
    "Vosk model (models/README.md tells how)."
)


class ModelKind(Enum):
    """How a model is told what may be said."""

    OURS = "ours"
    DYNAMIC = "dynamic"
    STATIC = "static"


@dataclass(frozen=True)
class ModelFolder:
    """A folder that was looked at and found whole."""

    path: Path
    kind: ModelKind

    @property
    def second(self) -> Path | None:
        """The network that gives a second opinion, if there is one."""
        network = self.path / SECOND
        return network if self.kind is ModelKind.OURS and network.is_file() else None

    def digest(self) -> str:
        """Return a short name that changes with any file that a graph or the hearing rests on."""
        total = hashlib.sha256()
        second = [SECOND] if self.second else []
        for name in ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf", *second):
            total.update(hashlib.sha256((self.path / name).read_bytes()).digest())
        for name in ("lexicon.txt", "phones.txt"):
            total.update((self.path / name).read_bytes())
        return total.hexdigest()[:16]


def look_at(path: Path) -> ModelFolder:
    """Check a model folder before the recogniser library sees it, which would only say "failed".

    Raises:
        ModelProblem: it is no model folder; says what is missing and what to do.
    """
    if not path.is_dir():
        raise ModelProblem(f"There is no model folder {path}. {_HOW_TO_GET_ONE}")
    needed = ["am/final.mdl", "conf/mfcc.conf", "conf/model.conf"]
    kind = _kind(path)
    if kind is ModelKind.OURS:
        needed += ["lexicon.txt", "phones.txt"]
    elif kind is None:
        needed += ["graph/HCLr.fst", "graph/Gr.fst"]
    lacking = [name for name in needed if not (path / name).is_file()]
    if kind is None or lacking:
        raise ModelProblem(
            f"{path} is not a whole model: {', '.join(lacking)} missing. {_HOW_TO_GET_ONE}"
        )
    return ModelFolder(path.resolve(), kind)


def _kind(path: Path) -> ModelKind | None:
    if (path / "lexicon.txt").is_file() or (path / "phones.txt").is_file():
        return ModelKind.OURS
    graph = path / "graph"
    if (graph / "HCLr.fst").is_file() and (graph / "Gr.fst").is_file():
        return ModelKind.DYNAMIC
    return ModelKind.STATIC if (graph / "HCLG.fst").is_file() else None
