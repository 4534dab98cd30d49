"""Whether a checklist can be followed by ear. Pure."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.check.findings import Finding
from assistant.check.place import Sheet
from assistant.check.timing import act_key, in_words, seconds, texts
from assistant.mouth.wording import sentences
from assistant.procedure.model import Judge, Look, Step, Tell

MOST_WORDS = 20
"""In one sentence. Plain writing keeps below twenty words to be read; nobody can look back at what
was said (common practice, no source)."""
MOST_SENTENCE_S = 8.0
"""A breath and a half at rest; the usual voice takes about 6 s for twenty words (judgement)."""
MOST_STEP_S = 30.0
"""What is said in one go; after half a minute its beginning is forgotten (judgement)."""


def check_speaking(sheet: Sheet) -> Iterator[Finding]:
    """Yield what is too long to follow, and where there is nothing to say to "why"."""
    for step in sheet.procedure.steps:
        for spoken in texts(step):
            for sentence in sentences(spoken.text):
                yield from _sentence(sheet, step, spoken.key, sentence)
        yield from _whole(sheet, step)
        if not step.why and not _says_nothing_itself(step):
            wrong = "this step has no answer to why"
            mend = "Add why: and one to three sentences, for the apprentice"
            yield sheet.found("why-missing", step, wrong, mend)


def _says_nothing_itself(step: Step) -> bool:
    return isinstance(step, (Judge, Look)) or (isinstance(step, Tell) and not step.until_done)


def _sentence(sheet: Sheet, step: Step, key: str, sentence: str) -> Iterator[Finding]:
    words, took_s = len(sentence.split()), seconds(sentence)
    if words > MOST_WORDS or took_s > MOST_SENTENCE_S:
        begin = " ".join(sentence.split()[:4])
        wrong = f"the sentence '{begin} ...' has {words} words and takes {took_s:.0f} s"
        mend = f"Make two of it: at most {MOST_WORDS} words and {MOST_SENTENCE_S:.0f} s each"
        yield sheet.found("sentence-long", step, wrong, mend, key)


def _whole(sheet: Sheet, step: Step) -> Iterator[Finding]:
    took_s = seconds(step.say)
    if took_s > MOST_STEP_S:
        wrong = f"this step speaks for {in_words(took_s)} in one go"
        mend = f"Make two steps of it, or move part of it to why: at most {in_words(MOST_STEP_S)}"
        yield sheet.found("step-long", step, wrong, mend, act_key(step))
