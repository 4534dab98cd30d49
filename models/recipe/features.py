"""Log-mel and MFCC features as Kaldi computes them (to about 1e-4), with numpy.

40 mel bands from 20 to 7,600 Hz, 25 ms windows every 10 ms, no dither, samples in 16-bit scale.
Training uses log-mel; the shipped model takes MFCCs, which are a fixed matrix away.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

Matrix = npt.NDArray[np.float64]

RATE_HZ = 16_000
WINDOW, HOP, FFT, BANDS = 400, 160, 512, 40
LOW_HZ, HIGH_HZ = 20.0, 7600.0
MFCC_CONF = f"""\
--use-energy=false
--sample-frequency={RATE_HZ}
--num-mel-bins={BANDS}
--num-ceps={BANDS}
--low-freq={LOW_HZ:.0f}
--high-freq={HIGH_HZ:.0f}
--allow-upsample=true
--allow-downsample=true
--dither=0.0
"""
_WARP_KNEE_HZ = 6000.0


def _mel(hz: npt.ArrayLike) -> Matrix:
    return np.asarray(1127.0 * np.log1p(np.asarray(hz) / 700.0))


def mel_bank(warp: float = 1.0) -> Matrix:
    """Return the triangular filters, shape (bands, FFT / 2).

    ``warp`` stretches the frequency axis below 6 kHz, as a longer or shorter vocal tract does.
    """
    hz = np.arange(FFT // 2) * RATE_HZ / FFT
    top = RATE_HZ / 2
    knee = _WARP_KNEE_HZ * warp
    upper = knee + (hz - _WARP_KNEE_HZ) * (top - knee) / (top - _WARP_KNEE_HZ)
    at = _mel(np.where(hz < _WARP_KNEE_HZ, hz * warp, upper))
    low, high = _mel(LOW_HZ), _mel(HIGH_HZ)
    step = (high - low) / (BANDS + 1)
    left = low + np.arange(BANDS)[:, None] * step
    rise, fall = (at - left) / step, (left + 2 * step - at) / step
    return np.asarray(np.clip(np.minimum(rise, fall), 0, None))


def window() -> Matrix:
    """Return Kaldi's "povey" window, shape (WINDOW,)."""
    return np.asarray((0.5 - 0.5 * np.cos(2 * math.pi * np.arange(WINDOW) / (WINDOW - 1))) ** 0.85)


def mfcc_matrix(lifter: float = 22.0) -> Matrix:
    """Return the matrix that turns 40 log-mel values into 40 MFCCs."""
    order = np.arange(BANDS)[:, None]
    cosines = np.cos(math.pi / BANDS * (np.arange(BANDS)[None] + 0.5) * order)
    cosines *= math.sqrt(2.0 / BANDS)
    cosines[0] = math.sqrt(1.0 / BANDS)
    lift = 1.0 + 0.5 * lifter * np.sin(math.pi * np.arange(BANDS) / lifter)
    return np.asarray(cosines * lift[:, None])
