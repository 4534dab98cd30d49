"""Compiled grammars on disk: one folder each, as the recogniser library wants to load them.

Imports ``graph``, ``lexicon``, ``model_folder`` and ``places``. A folder's name covers the model,
its place, the lexicon, the prices and the grammar, so nothing stale is ever read. Folders appear
whole, by rename; any may be deleted at any time. ``LAPCALL_CACHE`` moves them.

Two networks search one graph, but the library wants a folder for each: the second one's lies
inside the first one's.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
from dataclasses import astuple
from pathlib import Path

from assistant import places
from assistant.ear.graph import Costs, Graph, compile_graph
from assistant.ear.lexicon import Lexicon, read_lexicon
from assistant.ear.model_folder import ModelFolder
from assistant.errors import ModelProblem
from assistant.words.phrase import Grammar

LAYOUT = 3
"""Raise when the graph or the folder is built another way."""
_SECOND = "second"


def cache_home() -> Path:
    """Return where compiled grammars are kept."""
    return places.cache() / "ear"


class Compiler:
    """Turns grammars into model folders, for one model. Any thread; knows no state but the disk."""

    def __init__(
        self, model: ModelFolder, costs: Costs | None = None, cache: Path | None = None
    ) -> None:
        self.lexicon: Lexicon = read_lexicon(model.path)
        self._model = model
        self._costs = costs or Costs()
        self._cache = cache or cache_home()
        # The path too: the folder may hold links to it, and two models of one content on one day
        # may be two contents on the next.
        text = f"{LAYOUT} {model.path} {model.digest()} {astuple(self._costs)}"
        self._base = hashlib.sha256(text.encode()).hexdigest()[:12]

    def folder(self, grammar: Grammar) -> Path:
        """Return the folder of ``grammar``, building it if need be.

        Raises:
            ModelProblem: words are missing from the lexicon, or the cache cannot be written.
        """
        folder = self._cache / f"{self._base}-{grammar.key}"
        if not all(map(_whole, self._parts(folder))):
            graph = compile_graph(grammar, self.lexicon, self._costs)
            try:
                self._write(folder, graph)
            except OSError as problem:
                raise ModelProblem(
                    f"Compiled grammars cannot be kept in {self._cache}: {problem}. Set "
                    "LAPCALL_CACHE to a folder that can be written."
                ) from problem
        return folder

    def folders(self, grammar: Grammar) -> tuple[Path, ...]:
        """Return the folders of ``grammar``, one for each network; as ``folder``."""
        return self._parts(self.folder(grammar))

    def _parts(self, folder: Path) -> tuple[Path, ...]:
        return (folder, folder / _SECOND) if self._model.second else (folder,)

    def _write(self, folder: Path, graph: Graph) -> None:
        self._cache.mkdir(parents=True, exist_ok=True)
        fresh = Path(tempfile.mkdtemp(prefix=".building-", dir=self._cache))
        try:
            for part in ("am", "conf"):
                _share(self._model.path / part, fresh / part)
            self._write_graph(fresh / "graph", graph)
            if self._model.second:
                self._write_second(fresh / _SECOND, self._model.second)
            _put_in_place(fresh, folder)
        finally:
            shutil.rmtree(fresh, ignore_errors=True)

    def _write_second(self, folder: Path, network: Path) -> None:
        """Write the folder of the second network, beside the graph of the first one."""
        (folder / "am").mkdir(parents=True)
        _share(network, folder / "am" / "final.mdl")
        _share(self._model.path / "conf", folder / "conf")
        _share(folder.parent / "graph", folder / "graph", Path("..", "graph"))

    def _write_graph(self, folder: Path, graph: Graph) -> None:
        (folder / "phones").mkdir(parents=True)
        (folder / "HCLG.fst").write_bytes(graph.fst.to_bytes())
        words = ["<eps>", *graph.words, "#0", "<s>", "</s>"]
        _write_rows(folder / "words.txt", [f"{word} {at}" for at, word in enumerate(words)])
        places = enumerate(self.lexicon.places, start=1)
        rows = [f"{number} {place}" for number, place in places]
        _write_rows(folder / "phones" / "word_boundary.int", rows)
        names = ["<eps> 0", *(f"{name} {at}" for name, at in self.lexicon.numbers.items())]
        _write_rows(folder / "phones.txt", names)


def _write_rows(path: Path, rows: list[str]) -> None:
    path.write_text("\n".join(rows) + "\n", encoding="utf-8", newline="\n")


def _whole(folder: Path) -> bool:
    """Tell whether the library would find its network there: a link may lead nowhere by now."""
    return (folder / "am" / "final.mdl").is_file()


def _put_in_place(fresh: Path, folder: Path) -> None:
    """Rename ``fresh`` to ``folder``; if somebody else was quicker, theirs is as good."""
    try:
        fresh.rename(folder)
    except OSError:
        if not _whole(folder) or ((fresh / _SECOND).is_dir() and not _whole(folder / _SECOND)):
            # What lies there is broken, as after a half-deleted cache.
            shutil.rmtree(folder)
            fresh.rename(folder)


def _share(source: Path, target: Path, told: Path | None = None) -> None:
    """Let ``target`` hold what ``source`` does: by link, or where links are denied, by copy.

    ``told`` is how the link names the source, if not by its whole path.
    """
    try:
        target.symlink_to(told or source, target_is_directory=source.is_dir())
    except OSError:
        if source.is_dir():
            shutil.copytree(source, target, copy_function=_link_or_copy)
        else:
            _link_or_copy(str(source), str(target))


def _link_or_copy(source: str, target: str) -> str:
    try:
        os.link(source, target)
    except OSError:
        shutil.copy2(source, target)
    return target
