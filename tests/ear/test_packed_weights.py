from __future__ import annotations

import importlib.util
import struct
import sys
from types import ModuleType

import numpy as np
import pytest
from support.ear import ROOT


@pytest.fixture(scope="module")
def kaldi_files() -> ModuleType:
    """The part of the recipe that writes Kaldi's files; it is a script, not a package."""
    name = "kaldi_files"
    place = ROOT / "models" / "recipe" / f"{name}.py"
    spec = importlib.util.spec_from_file_location(name, place)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


def unpacked(data: bytes) -> np.ndarray:
    """Return the matrix in ``data`` as Kaldi's two-byte ``CompressedMatrix`` is read.

    Form: kaldi-asr, src/matrix/compressed-matrix.cc, ``Read``: least, range, rows, columns, then
    values between 0 and 65535 row by row.
    """
    assert data[:6] == b"\0BCM2 "
    least, span, rows, columns = struct.unpack("<ffii", data[6:22])
    return least + span * np.frombuffer(data[22:], "<u2").reshape(rows, columns) / 65_535


@pytest.mark.parametrize("scale", [1e-3, 1.0, 50.0])
def test_packed_weights_are_off_by_half_a_step_at_most(kaldi_files: ModuleType, scale: float):
    """Two bytes a weight keep each weight within half of 1/65535 of the matrix's range."""
    weights = np.random.default_rng(4).normal(0, scale, (7, 30))
    out = kaldi_files.KaldiWriter()
    out.packed_matrix(weights)
    off = np.abs(unpacked(out.done()) - weights)

    assert off.max() <= 0.51 * np.ptp(weights) / 65_535


def test_a_matrix_of_one_value_can_be_packed(kaldi_files: ModuleType):
    """No range at all is no division by zero."""
    out = kaldi_files.KaldiWriter()
    out.packed_matrix(np.full((2, 3), -0.25))

    assert np.allclose(unpacked(out.done()), -0.25, atol=1e-6)
