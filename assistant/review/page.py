"""The foreman's page: one HTML file that holds everything, voices too, and asks for no network.

Imports the modules of ``review``, ``record`` and ``errors``; Jinja2 escapes all that was said.
"""

from __future__ import annotations

import base64
from collections.abc import Callable
from datetime import datetime
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from assistant import __version__
from assistant.errors import UsageProblem
from assistant.record.clips import is_name, media_type
from assistant.record.journal import CLIPS_NAME
from assistant.review import bar, telling
from assistant.review.figures import CAVEAT, figures
from assistant.review.reading import Read, read
from assistant.review.strips import Recording, Strip, urgency
from assistant.weld.job_rules import JobRules
from assistant.words.spelling import spelled

_LOOKS = ("failed", "unjudged", "at-limit", "passed")
"""Class names of the page, by urgency."""


def write_page(folder: Path, out: Path, now: datetime, rules: JobRules | None = None) -> None:
    """Write the page of the record in ``folder``, which may be broken, empty or missing.

    ``now`` is the time that the page names as its own.

    Raises:
        UsageProblem: ``out`` cannot be written.
    """
    text = as_page(read(folder, rules), now, _clip_reader(folder / CLIPS_NAME))
    write_text(out, text)


def write_text(out: Path, text: str) -> None:
    """Write a page so that its name stands for all of it; raises ``UsageProblem``."""
    part = out.with_name(out.name + ".part")
    try:
        part.write_text(text, encoding="utf-8")
        part.replace(out)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise UsageProblem(
            f"The page {out} cannot be written ({error.strerror}). "
            "Name another place with --page FILE."
        ) from error


def as_page(found: Read, now: datetime, clip: Callable[[str], str | None]) -> str:
    """Return the page as HTML; ``clip`` gives the data URI of a clip, or None if it is missing."""
    review = found.review
    days = {strip.when.date() for strip in review.strips}
    return environment().get_template("page.html").render(
        review=review,
        verified=found.verified,
        now=now,
        version=__version__,
        span=telling.span(review.began, review.ended),
        counts=tuple(zip(_LOOKS, review.counts, telling.COUNTED, strict=True)),
        sections=telling.sections(review),
        figures=figures(review.strips),
        cover=found.cover,
        caveat=CAVEAT,
        several_days=len(days) > 1,
        closed=telling.CLOSED,
        missing=telling.NOT_STATED,
        spelled=spelled,
        clip=lambda name: clip(found.verified.dropped.stands_for(name)),
        became=lambda recording: found.verified.dropped.told(recording.clip),
        is_changed=lambda recording: _is_changed(found, recording),
    )  # fmt: skip


@cache
def environment() -> Environment:
    """Return what fills in the pages."""
    made = Environment(
        loader=FileSystemLoader(Path(__file__).parent),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals.update(
        look=_look, label=telling.label, heading=telling.heading, rows=telling.rows, bar=_bar
    )
    return made


def _look(strip: Strip) -> str:
    return _LOOKS[urgency(strip.outcome)]


def _bar(strip: Strip) -> bar.Bar | None:
    return bar.bar(strip.width_in, strip.solid_in, strip.limits) if strip.limits else None


def _is_changed(found: Read, recording: Recording) -> bool:
    return recording.clip in found.verified.changed


def _clip_reader(clips: Path) -> Callable[[str], str | None]:
    def clip(name: str) -> str | None:
        if not is_name(name):
            return None  # only what the record itself names may come into the page
        try:
            content = (clips / name).read_bytes()
        except OSError:
            return None
        return f"data:{media_type(name)};base64,{base64.b64encode(content).decode('ascii')}"

    return clip
