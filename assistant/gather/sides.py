"""What lies beside a record and comes along with it: ends of lines that were cut short, signatures.

Imports ``gather`` and ``record``.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator

from assistant.gather import signatures
from assistant.gather.copies import side_files
from assistant.gather.limits import RecordFiles, Refused, shown
from assistant.gather.told import Report
from assistant.record.journal import TORN_NAME

_TORN = TORN_NAME.format(number="")
BESIDE = (_TORN, signatures.PREFIX)
"""How the names of such files begin."""


def sides(came: RecordFiles, report: Report) -> Iterator[tuple[str, bytes]]:
    """Yield cut ends and signatures under names that depend on what they hold."""
    for name, content in side_files(came):
        torn = name.startswith(_TORN)
        if not torn and not name.startswith(signatures.PREFIX):
            continue
        if isinstance(content, Refused):
            report.refused.append(f"{shown(name)} of {came.label} {content}. It was left out.")
            continue
        signature = None if torn else signatures.parsed(content)
        if torn:
            number = int(hashlib.sha256(content).hexdigest()[:12], 16)
            yield TORN_NAME.format(number=number), content
        elif signature is not None:
            yield signature.file_name, signature.content
        else:
            report.refused.append(f"{shown(name)} of {came.label} is no signature of Lapcall's.")
