"""The objective of training: right words fit better than wrong ones, and its slope is one."""

import numpy as np
import pytest

torch = pytest.importorskip(
    "torch", reason="torch is not installed; models/recipe/requirements.txt has it"
)

from losses import OUTPUTS, PHONES, Graphs, Objective, Stacked  # noqa: E402 - needs torch

LEXICON = {
    "yes": [["Y", "EH", "S"]],
    "no": [["N", "OW"]],
    "quarter": [["K", "W", "AO", "R", "T", "ER"], ["K", "AO", "R", "T", "ER"]],
}
GRAPHS = Graphs(LEXICON)
OBJECTIVE = Objective(
    GRAPHS.denominator([("yes",), ("no",), ("quarter",)] * 20, 1), torch.device("cpu")
)


def outputs_of(sounds: str, frames: int = 3) -> torch.Tensor:
    """Return outputs of a network that is sure of these phones, so many frames each."""
    rows = []
    for sound in sounds.split():
        phone = PHONES.index(sound)
        rows += [2 * phone] + [2 * phone + 1] * (frames - 1)
    outputs = torch.full((1, len(rows), OUTPUTS), -4.0)
    outputs[0, torch.arange(len(rows)), rows] = 6.0
    return outputs


def gap(outputs: torch.Tensor, *words: str) -> float:
    """Return the nats by which other phones are likelier than the words."""
    return float(OBJECTIVE.gaps(outputs, Stacked.of([GRAPHS.numerator(words)]))[0])


@pytest.mark.parametrize(
    ("sounds", "right", "wrong"),
    [
        ("SIL N OW SIL", ["no"], ["yes"]),
        ("SIL Y EH S SIL", ["yes"], ["no"]),
        ("Y EH S N OW", ["yes", "no"], ["no", "yes"]),
        ("SIL Y EH S SIL N OW", ["yes", "no"], ["yes"]),
        ("SIL K W AO R T ER SIL", ["quarter"], ["no"]),
        ("SIL K AO R T ER SIL", ["quarter"], ["yes", "no"]),
        ("SIL", [], ["no"]),
    ],
)
def test_right_words_are_nearer_than_wrong_ones(sounds, right, wrong):
    """With or without silence, in any way that the lexicon knows, the words said fit best."""
    outputs = outputs_of(sounds)

    assert gap(outputs, *right) + 10 < gap(outputs, *wrong)


def test_words_that_do_not_fit_into_the_time_are_infinitely_far():
    """Six phones need six frames."""
    outputs = outputs_of("N OW", frames=2)

    assert gap(outputs, "quarter") == float("inf")
    assert np.isfinite(gap(outputs, "no"))


def test_rows_of_several_lengths_do_not_disturb_each_other():
    """In a batch each row has the gap that it has alone."""
    outputs = outputs_of("SIL N OW SIL")
    both = Stacked.of([GRAPHS.numerator(("no",)), GRAPHS.numerator(("quarter", "yes"))])
    gaps = OBJECTIVE.gaps(outputs.expand(2, -1, -1), both).tolist()

    assert gaps == pytest.approx([gap(outputs, "no"), gap(outputs, "quarter", "yes")])


def test_slope_is_that_of_the_loss():
    """The gradient that training follows is the loss's own, measured by small steps."""
    torch.manual_seed(3)
    outputs = torch.randn(2, 20, OUTPUTS, dtype=torch.float64)
    graphs = Stacked.of([GRAPHS.numerator(("no", "yes")), GRAPHS.numerator(("quarter",))])
    _, slope, left_out = OBJECTIVE(outputs, graphs)
    direction = torch.randn_like(outputs)
    step = 1e-4
    ahead, behind = (OBJECTIVE(outputs + way * step * direction, graphs)[0] for way in (1, -1))
    measured = float(ahead - behind) / (2 * step)

    assert int(left_out) == 0
    assert float((slope * direction).sum()) == pytest.approx(measured, rel=1e-3, abs=1e-6)


def test_a_row_too_short_for_its_words_teaches_nothing():
    """It is counted, and its slope is nought."""
    torch.manual_seed(4)
    outputs = torch.randn(2, 5, OUTPUTS)
    graphs = Stacked.of([GRAPHS.numerator(("no",)), GRAPHS.numerator(("quarter", "yes"))])
    loss, slope, left_out = OBJECTIVE(outputs, graphs)

    assert int(left_out) == 1
    assert torch.isfinite(loss)
    assert float(slope[0].abs().sum()) > 0
    assert float(slope[1].abs().sum()) == 0
