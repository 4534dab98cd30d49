"""What can go wrong, in one tree. Anything of ours may import this; it imports nothing.

Every error carries a sentence that says what happened and what to do about it; the command
line prints that sentence and leaves with the error's exit code.

    LapcallError                      1
    +-- UsageProblem                  2   an option, a phrase or a file name makes no sense
    +-- ProcedureProblem              3   a checklist that must not be used
    +-- SoundProblem                  4   no microphone, no loudspeaker, a device that went away
    |   +-- NoMicrophone
    |   +-- NoLoudspeaker
    +-- VoiceProblem                  5   no speech engine (espeak-ng), or one that made no sound
    +-- ModelProblem                  6   no recogniser model, or one that lacks words of ours
    +-- RecordProblem                 7   the record cannot be written, read or trusted
        +-- RecordFull                    no room left on the disk
        +-- RecordReadOnly                the disk or the folder may not be written
        +-- RecordBroken                  a line was changed, removed or torn
        +-- RecordInUse                   another Lapcall writes there
"""


class LapcallError(Exception):
    """Something the user can act on; ``str()`` is the sentence to show."""

    exit_code = 1


class UsageProblem(LapcallError):
    """An option, a phrase or a file name makes no sense."""

    exit_code = 2


class ProcedureProblem(LapcallError):
    """A checklist that must not be used; says file, line, key and what to write instead."""

    exit_code = 3


class SoundProblem(LapcallError):
    """A sound device is missing or went away."""

    exit_code = 4


class NoMicrophone(SoundProblem):
    """No device to hear with."""


class NoLoudspeaker(SoundProblem):
    """No device to speak with."""


class VoiceProblem(LapcallError):
    """There is no speech engine, or it made no sound."""

    exit_code = 5


class ModelProblem(LapcallError):
    """There is no recogniser model, or it lacks words of ours."""

    exit_code = 6


class RecordProblem(LapcallError):
    """The record cannot be written, read or trusted."""

    exit_code = 7


class RecordFull(RecordProblem):
    """No room left on the disk; nothing confirmed before was lost."""


class RecordReadOnly(RecordProblem):
    """The disk, the card or the folder may be read and not written."""


class RecordBroken(RecordProblem):
    """A line of the record was changed, removed or torn."""


class RecordInUse(RecordProblem):
    """Another Lapcall writes to this record."""
