"""Whatever a file holds, the checker tells of it and does not fail."""

from __future__ import annotations

import json

import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from support.checking import NOTHING_FOUND, check_text

from assistant.check.findings import RULES
from assistant.procedure.fields import EXAMPLES
from assistant.procedure.steps import ACTS

KEYS = st.sampled_from([*sorted(EXAMPLES), *ACTS, "include", "as", "shared"])
WORDS = st.sampled_from(
    [
        "weld",
        "again",
        "go-on",
        "end",
        "stop",
        "done",
        "hot",
        "yes",
        "no",
        "10 min",
        "1 in",
        "choice",
    ]
)
LEAVES = st.one_of(WORDS, st.text(max_size=12), st.integers(-3, 999), st.booleans(), st.none())
ANYTHING = st.recursive(
    LEAVES,
    lambda inner: st.one_of(
        st.lists(inner, max_size=4), st.dictionaries(st.one_of(KEYS, WORDS), inner, max_size=6)
    ),
    max_leaves=25,
)
LENIENT = settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


def told(report) -> None:
    """Show a report in each of its forms."""
    for finding in report.findings:
        if finding.rule not in RULES or finding.line < 1 or not finding.mend:
            raise ValueError(f"half a finding: {finding}")
        json.dumps(finding.as_json())
        finding.sentence()


@LENIENT
@given(raw=st.one_of(st.binary(max_size=200), st.text(max_size=200).map(str.encode)))
def test_any_bytes(tmp_path, raw):
    """Bytes that are no checklist are a finding, never a crash."""
    report = check_text(tmp_path, raw)
    told(report)

    assert report.findings


@LENIENT
@given(data=ANYTHING)
def test_any_yaml(tmp_path, data):
    """So is any other YAML."""
    report = check_text(tmp_path, yaml.safe_dump(data))
    told(report)

    assert report.findings


@LENIENT
@given(
    place=st.integers(0, 6),
    key=KEYS,
    value=ANYTHING,
    also=st.dictionaries(KEYS, ANYTHING, max_size=2),
)
def test_any_value_in_a_good_checklist(tmp_path, place, key, value, also):
    """A step with any key replaced is checked to its end."""
    data = yaml.safe_load(NOTHING_FOUND)
    data["steps"][place] = {**data["steps"][place], key: value, **also}
    report = check_text(tmp_path, yaml.safe_dump(data, sort_keys=False))
    told(report)

    assert report.findings or report.checked
