"""What the strips add up to: told with how little it proves, drawn only where there is enough."""

from __future__ import annotations

import re
from datetime import datetime
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.records import scribe

from assistant.review.figures import CAVEAT, figures
from assistant.review.page import write_page
from assistant.review.reading import read
from assistant.review.run_chart import WIDE, drawing
from assistant.review.text import shift_text
from assistant.weld.charts import LEAST_POINTS, Chart, chart_of
from assistant.weld.limits import WidthLimits

STEADY = [20, 21, 19, 20, 22, 18, 21, 20, 19, 20] * 2
"""Widths in sixteenths, as many as a chart needs."""
PASS, FAIL = "pass", "fail"


def shift(folder, sixteenths=(), outcomes=(), welder="A. Lee", mode="film-tearing"):
    """Write a shift of strips with these widths, or these outcomes at one width."""
    with scribe(folder) as made:
        made.begin(job={"welder": welder, "gun": "gun 3"})
        for sixteenth in sixteenths:
            made.judged(PASS, made.value("width", "so", str(Fraction(sixteenth, 16))), mode=mode)
        for outcome in outcomes:
            made.judged(outcome, made.value("width", "so", "5/4"), mode=mode)


def found(folder):
    """Return the figures of a record."""
    return figures(read(folder).review.strips)


@pytest.mark.parametrize(
    ("outcomes", "told"),
    [
        ([PASS], ["1 strip counts, 1 passed.", "Too few for a rate: 1 of at least 5."]),
        ([PASS, FAIL, PASS], ["2 strips count, 1 passed. Not counted", "followed a fail: 1."]),
        # Wilson 0.5655 to 1 for 5 of 5 (table of the trade's arithmetic), exact 0.4782 to 1.
        ([PASS] * 5, ["That is 100 %", "between 56 and 100 %", "exact interval: 47 and 100 %"]),
        (["pass at limit"] * 5, ["5 strips count, 5 passed."]),
        (["out"], ["1 strip counts, 0 passed."]),
        (["no verdict", "invalid"], ["0 strips count, 0 passed."]),
        # 0.05 ** (1 / 3) is 0.368, and 59 in a row prove 95 %.
        ([PASS] * 3, ["The last 3 in a row passed", "at least 36 % do", "it takes 59 in a row"]),
    ],
)
def test_the_rate_is_told_with_what_it_proves(tmp_path, outcomes, told):
    """Strips are counted, retests left out, and few strips say that they are few."""
    shift(tmp_path, outcomes=outcomes)
    text = " ".join(found(tmp_path)[0].told)

    for part in told:
        assert part in text


def test_a_fail_ends_the_row(tmp_path):
    """After a fail no row of passes is claimed."""
    shift(tmp_path, outcomes=[PASS, PASS, FAIL])

    assert "in a row passed" not in " ".join(found(tmp_path)[0].told)


def test_too_few_widths_say_so(tmp_path):
    """One width short of enough there is no chart, and the page says so."""
    shift(tmp_path, STEADY[:-1])
    (one,) = found(tmp_path)

    assert one.drawing is None
    assert one.told[-1] == f"Too few widths for a chart: 19 of at least {LEAST_POINTS}."


def test_like_widths_make_no_chart(tmp_path):
    """Widths that the rule cannot tell apart show no scatter."""
    shift(tmp_path, [20] * 30)

    assert "too alike" in found(tmp_path)[0].told[-1]


def test_a_steady_chart(tmp_path):
    """Enough widths are drawn, with capability and the rate of false alarms."""
    shift(tmp_path, STEADY)
    (one,) = found(tmp_path)
    text = " ".join(one.told)

    assert one.drawing is not None
    assert "1.25 in on average" in text
    assert re.search(r"Cpk of 0\.8\d \(95 %: 0\.\d\d to 1\.\d\d\)", text)
    assert "No width stands out." in text
    assert "in about 220" in text


def test_what_stands_out_is_told_and_boxed(tmp_path):
    """A width far from the others is named with its time."""
    shift(tmp_path, [*STEADY, 30])
    (one,) = found(tmp_path)

    assert [point.label for point in one.drawing.points if point.stands_out] == ["21"]
    assert any(sentence.startswith("Strip 21, ") for sentence in one.told)


def test_peeled_clean_is_no_width_of_a_bond(tmp_path):
    """What peeled clean is counted as it was judged, and not charted."""
    shift(tmp_path, STEADY, mode="clean-peel")

    assert found(tmp_path)[0].told[-1].startswith("Too few widths for a chart: 0")


def test_each_welder_has_figures_of_their_own(tmp_path):
    """Strips of two welders are not added up."""
    shift(tmp_path, outcomes=[PASS])
    shift(tmp_path, outcomes=[FAIL], welder="B. Roe")

    assert [one.welder for one in found(tmp_path)] == ["A. Lee", "B. Roe"]
    assert [one.told[0] for one in found(tmp_path)] == [
        "1 strip counts, 1 passed.",
        "1 strip counts, 0 passed.",
    ]


# ---- on the page and in the terminal


def page(folder) -> str:
    """Return the page of a record."""
    write_page(folder, folder / "review.html", datetime(2026, 5, 4, 18, 0))
    return (folder / "review.html").read_text(encoding="utf-8")


def test_the_page_draws_it_in_black(tmp_path):
    """The chart is on the page, told to those who do not see it, and needs no colour."""
    shift(tmp_path, [*STEADY, 30], welder="<b>Lee</b>")
    text = page(tmp_path)
    chart = text[text.index('id="figures"') :].split("</section>")[0]

    assert "<b>Lee" not in chart
    assert 'aria-label="21 widths in order, mean' in chart
    assert chart.count("<circle") == 21
    assert set(re.findall(r'(?:fill|stroke)="(#[0-9a-f]+)"', chart)) <= {"#000", "#fff"}
    assert CAVEAT in chart


def test_a_page_without_strips_has_no_figures(tmp_path):
    """Where no strip was judged nothing is added up."""
    shift(tmp_path)

    assert 'id="figures"' not in page(tmp_path)
    assert "add up to" not in shift_text(tmp_path)


def test_the_terminal_tells_the_same(tmp_path):
    """Each sentence of the page stands in the text as well."""
    shift(tmp_path, [*STEADY, 30])
    text = " ".join(shift_text(tmp_path).split())

    for sentence in [*found(tmp_path)[0].told, CAVEAT]:
        assert sentence in text


# ---- the drawing


@given(
    st.lists(st.integers(1, 48), min_size=LEAST_POINTS, max_size=120),
    st.sampled_from([None, WidthLimits(), WidthLimits(Fraction(2), Fraction(5, 2))]),
)
def test_all_of_the_drawing_is_on_it(sixteenths, limits):
    """Whatever the widths, nothing is drawn outside, and points keep their order."""
    chart = chart_of([number / 16 for number in sixteenths])
    if not isinstance(chart, Chart):
        return
    drawn = drawing(chart, limits)
    levels = [drawn.mean, *drawn.expected, *drawn.ticks, *drawn.points]
    across = [point.x for point in drawn.points]
    order = sorted(zip(chart.values, drawn.points, strict=True), key=lambda pair: pair[0])

    assert all(drawn.top <= level.y <= drawn.bottom for level in levels)
    assert all(drawn.range_top <= step.y <= drawn.range_bottom for step in drawn.steps)
    assert all(0 < x < WIDE for x in across)
    assert across == sorted(set(across))
    assert [pair[1].y for pair in order] == sorted([pair[1].y for pair in order], reverse=True)
    assert limits is None or drawn.allowed[0] < drawn.allowed[1]
