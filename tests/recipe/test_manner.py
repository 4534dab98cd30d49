"""Ways of speaking: drawn from a seed, and without effect when plain."""

import random

import pytest
from manner import Manner, drawn, lengthened, sung

NO_TORCH = "torch is not installed; models/recipe/requirements.txt has it"


def rng() -> random.Random:
    """Return chance from one seed."""
    return random.Random(5)  # noqa: S311 - chance, not secrets


def test_the_same_seed_draws_the_same_manners():
    """Two plans from one seed agree in every manner, and a plan's manners differ."""
    first, second = rng(), rng()
    manners = [drawn(first) for _ in range(200)]

    assert manners == [drawn(second) for _ in range(200)]
    assert len(set(manners)) == 200


def test_a_quarter_speaks_plainly_and_the_rest_stays_believable():
    """One in four is plain but for its seed; pitch stays within a third of an octave."""
    chance = rng()
    manners = [drawn(chance) for _ in range(800)]
    plain = [one for one in manners if one == Manner(seed=one.seed)]

    assert 150 < len(plain) < 250
    assert all(0.81 <= one.pitch <= 1.24 for one in manners)
    assert all(0 <= one.uneven <= 0.28 and 0.4 <= one.melody <= 1.7 for one in manners)


def test_a_manner_survives_the_plan():
    """What a plan keeps makes the same manner again."""
    one = drawn(rng())

    assert Manner(**one.as_dict()) == one


def test_plain_manner_leaves_lengths_and_pitch_alone():
    """The network's own rhythm and melody come out as they went in."""
    torch = pytest.importorskip("torch", reason=NO_TORCH)
    lengths = torch.tensor([[3.0, 7.0, 2.5]])
    pitch = torch.tensor([0.0, 110.0, 140.0, 0.0])

    assert torch.equal(lengthened(lengths, Manner(seed=9)), lengths)
    assert torch.allclose(sung(pitch, Manner(seed=9)), pitch)


def test_uneven_lengths_are_those_of_the_seed():
    """Lengths change, stay above nothing, and are the same whenever a clip is made again."""
    torch = pytest.importorskip("torch", reason=NO_TORCH)
    lengths = torch.full((1, 400), 4.0)
    made = lengthened(lengths, Manner(uneven=0.2, seed=9))

    assert torch.equal(made, lengthened(lengths, Manner(uneven=0.2, seed=9)))
    assert not torch.equal(made, lengthened(lengths, Manner(uneven=0.2, seed=10)))
    assert float(torch.log(made / 4).std()) == pytest.approx(0.2, abs=0.03)


def test_pitch_rises_as_a_whole_and_silence_stays():
    """A factor of two is an octave; what has no voice gets none."""
    torch = pytest.importorskip("torch", reason=NO_TORCH)
    pitch = torch.tensor([0.0, 100.0, 200.0])

    assert sung(pitch, Manner(pitch=2.0)).tolist() == pytest.approx([0.0, 200.0, 400.0])
    assert sung(torch.zeros(3), Manner(pitch=2.0)).tolist() == [0.0, 0.0, 0.0]


def test_flat_melody_has_one_pitch():
    """A power of nought leaves the mean alone."""
    torch = pytest.importorskip("torch", reason=NO_TORCH)
    flat = sung(torch.tensor([100.0, 200.0]), Manner(melody=0.0))

    assert flat.tolist() == pytest.approx([150.0, 150.0])
