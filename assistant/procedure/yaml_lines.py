"""A strict reader of YAML: plain data, with the line of every key and value.

Imported by ``loader`` and ``fields``. YAML lets one text mean different things to different
readers (``no`` is false, ``1:30`` is ninety, ``1.50`` loses its nought) and lets a second key
silently replace the first. Here such text is refused with what to write instead, and nothing is
guessed: an unquoted word is text unless it is ``null``, ``true``, ``false`` or a plain whole
number. Anchors, aliases, merge keys, tags, tabs and second documents are refused.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import yaml

from assistant.procedure.faults import Faults

if TYPE_CHECKING:
    _Loader = type[yaml.BaseLoader] | type[yaml.CBaseLoader]

MOST_BYTES = 256 * 1024
MOST_DEPTH = 12

_TEXT = "tag:yaml.org,2002:str"
_WHOLE = re.compile(r"-?(0|[1-9][0-9]{0,8})", re.ASCII)
_PLAIN = {"null": None, "~": None, "": None, "true": True, "false": False}
# Words that a reader of YAML 1.1 may take for true or false; PyYAML itself spares y and n.
_SWITCH = re.compile(r"y|n|yes|no|on|off|true|false", re.IGNORECASE)
_CLOCK = re.compile(r"[-+]?[0-9]+(:[0-9]+)+(\.[0-9]*)?", re.ASCII)
# Numbers to readers of YAML 1.2, text to those of 1.1.
_NUMBER = re.compile(r"[-+]?(0o[0-7]+|[0-9]+(\.[0-9]*)?[eE][-+]?[0-9]+)", re.ASCII)
_RESOLVER = yaml.SafeLoader("")
# Ten times as quick, where PyYAML was built with libyaml.
_QUICK: _Loader = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
_REFUSED = yaml.Node("", None, None, None)

_LAYOUT = "each key under the one above, indented by the same number of spaces"
# What PyYAML says, what is wrong in plain words, what to write.
_SYNTAX = (
    (
        "mapping values are not allowed",
        "a second colon stands here, or a line is indented too far",
        "quotes around a text that holds a colon, and each key on a line of its own",
    ),
    ("quoted scalar", "a quoted text is not closed or not plain", "one quote at each end of it"),
    ("flow", "a bracket is not closed, or a comma is missing", "commas and the closing bracket"),
    (
        "cannot start any token",
        "a text begins with a sign that has a meaning in YAML",
        "quotes around the text",
    ),
    (
        "but found '<scalar>'",
        "a quote is missing here or in the line above",
        "one quote at each end of the text",
    ),
    ("could not find expected ':'", "a key has no colon after it", "a colon and a space"),
    ("expected <block end>", "a line is indented more or less than its neighbours", _LAYOUT),
    ("block mapping start", "a line is indented more or less than its neighbours", _LAYOUT),
)


@dataclass(frozen=True, slots=True)
class Scalar:
    """A single value."""

    line: int
    data: str | int | bool | None
    misread: bool = False
    """It was refused already; ``data`` is its bare text, and no more need be said about it."""
    source: str = ""
    """Where its value comes from, if from a job file: ``"job.yaml, line 9"``."""


@dataclass(frozen=True, slots=True)
class Items:
    """A list."""

    line: int
    items: tuple[Value, ...]


@dataclass(frozen=True, slots=True)
class Entry:
    """One ``key: value`` of a mapping."""

    line: int
    """Where its key stands."""
    value: Value


@dataclass(frozen=True, slots=True)
class Mapping:
    """Keys with their values, in the order of the file."""

    line: int
    entries: dict[str, Entry] = field(default_factory=dict)


Value = Scalar | Items | Mapping


def read_yaml(raw: bytes, faults: Faults) -> Value | None:
    """Read the bytes of a file; None when they could not be read as YAML at all.

    Whatever is wrong is added to ``faults``.
    """
    text = _decoded(raw, faults)
    if text is None or _has_tabs(text, faults):
        return None
    try:
        root = _composed(text, faults)
    except yaml.MarkedYAMLError as error:
        _add_syntax(error, text, faults)
        return None
    except (ValueError, OverflowError):
        # PyYAML lets chr() fail on an escape such as "\UFFFFFFFF".
        faults.add(1, "", "an escape after a backslash is no letter", "the letter itself")
        return None
    if root is _REFUSED:
        return None
    if root is None:
        faults.add(1, "", "the file holds nothing", "at least one key with its value")
        return None
    return _value(root, "", faults)


def _composed(text: str, faults: Faults) -> yaml.Node | None:
    """Return the nodes of a text, ``_REFUSED`` when it has forms that are not allowed."""
    before = len(faults.found)
    try:
        return _composed_by(_QUICK, text, faults)
    except (yaml.MarkedYAMLError, ValueError, OverflowError):
        # The slow reader decides, and its messages are those that are known here.
        del faults.found[before:]
        return _composed_by(yaml.BaseLoader, text, faults)


def _composed_by(loader: _Loader, text: str, faults: Faults) -> yaml.Node | None:
    if not _forms_allowed(text, faults, loader):
        return _REFUSED
    return yaml.compose(text, Loader=loader)


def _decoded(raw: bytes, faults: Faults) -> str | None:
    if len(raw) > MOST_BYTES:
        size = f"the file is larger than {MOST_BYTES // 1024} kilobytes"
        faults.add(1, "", size, "a checklist of one job, a few pages long")
        return None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        faults.add(line, "", "a letter is not in UTF-8", "plain letters, saved as UTF-8")
        return None
    bad = yaml.reader.Reader.NON_PRINTABLE.search(text)
    if bad:
        line = text.count("\n", 0, bad.start()) + 1
        faults.add(line, "", "an invisible control character stands here", "plain letters only")
        return None
    return text


def _has_tabs(text: str, faults: Faults) -> bool:
    lines = [number for number, line in enumerate(text.split("\n"), 1) if "\t" in line]
    for number in lines:
        faults.add(number, "", "a tab stands here", "spaces instead of the tab")
    return bool(lines)


def _forms_allowed(text: str, faults: Faults, loader: _Loader) -> bool:
    """Refuse the forms of YAML that a checklist has no need of; raises what PyYAML raises."""
    before = len(faults.found)
    documents = depth = 0
    for event in yaml.parse(text, Loader=loader):
        line = event.start_mark.line + 1 if event.start_mark else 1
        if isinstance(event, yaml.DocumentStartEvent):
            documents += 1
            if documents == 2:
                faults.add(line, "", "a second document begins", "one checklist in each file")
        if isinstance(event, yaml.CollectionStartEvent):
            depth += 1
            if depth > MOST_DEPTH:
                faults.add(line, "", "lists stand too deep within each other", "fewer levels")
                break
        elif isinstance(event, yaml.CollectionEndEvent):
            depth -= 1
        _refuse_marks(event, line, faults)
    return len(faults.found) == before


def _refuse_marks(event: yaml.Event, line: int, faults: Faults) -> None:
    anchor = getattr(event, "anchor", None)
    if isinstance(event, yaml.AliasEvent):
        faults.add(line, "", f"'*{anchor}' copies another place", "the text out in full")
    elif anchor:
        faults.add(line, "", f"'&{anchor}' marks a place to copy", "the text without it")
    if getattr(event, "tag", None):
        faults.add(line, "", "a value is marked with a tag ('!')", "the value without the tag")


def _add_syntax(error: yaml.MarkedYAMLError, text: str, faults: Faults) -> None:
    what = f"{error.context} {error.problem}"
    wrong, instead = _plain_words(what)
    # Where a quote or bracket is never closed, the opening one is the place to look.
    opened = "end of stream" in what or "flow" in what
    mark = error.context_mark if opened else error.problem_mark
    mark = mark or error.problem_mark
    # At the end of the file PyYAML points behind the last line.
    last = text.rstrip("\n").count("\n") + 1
    faults.add(min(mark.line + 1, last) if mark else last, "", wrong, instead)


def _plain_words(what: str) -> tuple[str, str]:
    """Turn PyYAML's account of a syntax error into what is wrong and what to write."""
    for sign, wrong, instead in _SYNTAX:
        if sign in what:
            return wrong, instead
    return "the layout cannot be read from here on", _LAYOUT


def _value(node: yaml.Node, key: str, faults: Faults) -> Value:
    line = node.start_mark.line + 1
    if isinstance(node, yaml.MappingNode):
        return _mapping(node, line, faults)
    if isinstance(node, yaml.ScalarNode):
        return _scalar(node, key, faults)
    return Items(line, tuple(_value(item, key, faults) for item in node.value))


def _mapping(node: yaml.MappingNode, line: int, faults: Faults) -> Mapping:
    mapping = Mapping(line)
    for key_node, value_node in node.value:
        key_line = key_node.start_mark.line + 1
        name = _key(key_node, faults)
        value = _value(value_node, name, faults)
        if name in mapping.entries:
            first = mapping.entries[name].line
            wrong = f"the key stands here for the second time (first in line {first})"
            faults.add(key_line, name, wrong, "it once")
        else:
            mapping.entries[name] = Entry(key_line, value)
    return mapping


def _key(node: yaml.Node, faults: Faults) -> str:
    line = node.start_mark.line + 1
    if not isinstance(node, yaml.ScalarNode):
        faults.add(line, "", "a list or mapping is used as a key", "a word as the key")
        return f"(key in line {line})"
    text = str(node.value)
    if not node.style and text == "<<":
        faults.add(line, text, "this key copies other keys", "the keys out in full")
        return text
    if not isinstance(_scalar(node, text, faults).data, str):
        faults.add(line, text, "a key must be text", f'"{text}" in quotes, or a word')
    return text


def _scalar(node: yaml.ScalarNode, key: str, faults: Faults) -> Scalar:
    line = node.start_mark.line + 1
    text = str(node.value)
    if node.style:  # a plain text has none, or an empty one
        return Scalar(line, text)
    if text in _PLAIN:
        return Scalar(line, _PLAIN[text])
    if _WHOLE.fullmatch(text) and text != "-0":
        return Scalar(line, int(text))
    instead = _misread(text)
    if instead is None:
        return Scalar(line, text)
    faults.add(line, key, f"{text} without quotes can be misread", instead)
    return Scalar(line, text, misread=True)


def _misread(text: str) -> str | None:
    """Tell what to write for a plain text that YAML readers take for something else."""
    quoted = f'"{text}" in quotes'
    if _SWITCH.fullmatch(text):
        return quoted
    if _CLOCK.fullmatch(text):
        return f"{quoted}, or a time with its unit such as 90 s"
    plain_tag = str(_RESOLVER.resolve(yaml.ScalarNode, text, (True, False)))  # type: ignore[no-untyped-call]  # the stubs leave it out
    if plain_tag.endswith(":timestamp"):
        return quoted
    if _NUMBER.fullmatch(text) or plain_tag != _TEXT:
        return f"{quoted}, or a number with its unit such as 1 1/2 in"
    return None
