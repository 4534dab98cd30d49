"""Make each example a new one: another speed, room, microphone, noise and level. All on the device.

Log-mel features come out, those of ``features.py``, computed in single precision.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import torch
from features import BANDS, FFT, HOP, WINDOW, mel_bank, window
from torch import Tensor

if TYPE_CHECKING:
    from data import Batch

RATE = 16_000
_WARPS = (1.0, 0.86, 0.90, 0.94, 0.97, 1.03, 1.06, 1.10, 1.14)
_SPEEDS = (0.85, 1.18)
_ECHO = RATE // 2
_LEAST_POWER = 1.1920929e-07
_HISS = 4.0
"""RMS in steps of 16 bits, as assistant/ear/sound.py has it."""
_PACES = (0.75, 1.35)
"""Noise played slower or faster is another machine."""
_NOISE_ALONE_DB = (-66.0, -0.5)
"""Peak of noise without speech: what stands behind a voice is far below the voice."""


@dataclass(frozen=True)
class Severity:
    """How hard the examples are made."""

    noisy: float = 0.85
    """Share of examples between -6 and 26 dB; the rest are 20 to 45 dB."""
    masked: bool = True
    """Hide a few bands and frames, so that no single cue is relied on."""


class Augmenter:
    """Holds the samples, the noises and the filters on one device."""

    def __init__(self, samples: Tensor, noises: Tensor, device: torch.device) -> None:
        """Take int16 samples [n] and noises [count, length] of RMS 1."""
        self._samples = samples.to(device)
        self._noises = noises.to(device)
        self._device = device
        banks = torch.stack([torch.from_numpy(mel_bank(warp).T) for warp in _WARPS])
        self._banks = banks.float().to(device)
        self._window = torch.from_numpy(window()).float().to(device)

    def features(self, batch: Batch, length: int, severity: Severity) -> Tensor:
        """Return log-mel features [row, frame, band] of a batch, each row ``length`` samples."""
        sound = self._microphone(self._speech(batch, length), batch, severity)
        rows = len(sound)
        warped = torch.rand(rows, device=self._device) < 0.7
        picks = torch.randint(len(_WARPS), (rows,), device=self._device) * warped
        return self.log_mel(sound, self._banks[picks])

    def plain(self, batch: Batch, length: int, begin: int) -> Tensor:
        """Return log-mel features of a batch as recorded, ``begin`` samples from the start.

        With the hiss that the ear lays under all sound: a network that learnt with it hears exact
        silence as nothing it knows.
        """
        speed = torch.ones(len(batch.starts), 1, device=self._device)
        start = torch.full_like(speed, begin)
        sound = self._joined(batch, length, speed, start, swaying=False)
        sound = sound * 0.5 * 32767 + torch.randn_like(sound) * _HISS
        return self.log_mel(sound, self._banks[:1].expand(len(sound), -1, -1))

    def log_mel(self, sound: Tensor, banks: Tensor) -> Tensor:
        """Return log-mel features of sound in 16-bit scale; ``banks`` is [row, FFT / 2, band]."""
        frames = sound.unfold(-1, WINDOW, HOP)
        frames = frames - frames.mean(-1, keepdim=True)
        first = frames[..., :1] * (1 - 0.97)
        frames = torch.cat([first, frames[..., 1:] - 0.97 * frames[..., :-1]], -1) * self._window
        power = torch.fft.rfft(frames, FFT).abs().pow(2)[..., : FFT // 2]
        return torch.log(torch.clamp(torch.bmm(power, banks), min=_LEAST_POWER))

    def _uniform(self, rows: int, low: float, high: float) -> Tensor:
        return torch.rand(rows, 1, device=self._device) * (high - low) + low

    def _chance(self, rows: int, probability: float) -> Tensor:
        return torch.rand(rows, 1, device=self._device) < probability

    def _speech(self, batch: Batch, length: int) -> Tensor:
        """Join the recordings at a speed and a start drawn by chance; peak about 0.6."""
        rows = len(batch.starts)
        total = torch.from_numpy(batch.totals).to(self._device)
        speed = torch.maximum(self._uniform(rows, *_SPEEDS), total / (length - 400))
        begin = self._uniform(rows, 0, 1) * torch.clamp(length - total / speed - 100, min=0)
        return self._joined(batch, length, speed, begin, swaying=True)

    def _sway(self, rows: int, time: Tensor) -> Tensor:
        """Return samples to be ahead or behind, so that a voice hurries and drags, up to 12 %."""
        period = self._uniform(rows, 0.3, 1.2) * RATE
        depth = self._uniform(rows, 0, 0.12) * self._chance(rows, 0.5)
        phase = self._uniform(rows, 0, 2 * math.pi)
        return depth * period / (2 * math.pi) * torch.sin(2 * math.pi * time / period + phase)

    def _joined(
        self, batch: Batch, length: int, speed: Tensor, begin: Tensor, *, swaying: bool
    ) -> Tensor:
        starts, lengths, offsets, gains = (
            torch.from_numpy(column).to(self._device)
            for column in (batch.starts, batch.lengths, batch.offsets, batch.gains)
        )
        rows, pieces = len(starts), int((batch.lengths > 0).sum(1).max(initial=1))
        time = torch.arange(length, device=self._device)[None]
        at = (time - begin) * speed + (self._sway(rows, time) if swaying else 0.0)
        sound = torch.zeros(rows, length, device=self._device)
        for place in range(pieces):
            inside = at - offsets[:, place, None]
            valid = (inside >= 0) & (inside < lengths[:, place, None] - 1)
            inside = torch.where(valid, inside, 0.0)
            whole = inside.floor()
            part = inside - whole
            index = whole.long() + starts[:, place, None]
            left, right = self._samples[index].float(), self._samples[index + 1].float()
            piece = (left * (1 - part) + right * part) * valid / 32767
            sound += piece * gains[:, place, None]
        return sound

    def _microphone(self, sound: Tensor, batch: Batch, severity: Severity) -> Tensor:
        rows, length = sound.shape
        size = -(-(length + _ECHO) // 4096) * 4096
        hertz = torch.linspace(0, RATE / 2, size // 2 + 1, device=self._device)[None]
        spoken = torch.from_numpy(batch.spoken).to(self._device)
        noise = self._noise(sound, spoken, severity)
        spectrum = torch.fft.rfft(sound, size) * self._room(rows, size) * self._tone(rows, hertz)
        # The noise comes from elsewhere, so it has a tone of its own.
        around = torch.fft.rfft(noise, size) * self._tone(rows, hertz)
        spectrum = (spectrum + around) * self._limits(rows, hertz)
        heard = torch.fft.irfft(spectrum, size)[:, :length]
        overdriven = self._chance(rows, 0.06)
        level = torch.where(overdriven, self._uniform(rows, 0, 10), self._uniform(rows, -36, -0.5))
        level = torch.where(spoken, level, self._uniform(rows, *_NOISE_ALONE_DB))
        heard = heard / (heard.abs().amax(1, keepdim=True) + 1e-6) * 10 ** (level / 20)
        return torch.clamp(heard, -1, 1) * 32767

    def _room(self, rows: int, size: int) -> Tensor:
        time = torch.arange(_ECHO, device=self._device)[None]
        fade = torch.exp(-time * 6.9 / (RATE * self._uniform(rows, 0.08, 0.6)))
        strength = self._uniform(rows, 0, 0.09) * self._chance(rows, 0.45)
        echo = torch.randn(rows, _ECHO, device=self._device) * fade * strength
        echo[:, 0] = 1
        return torch.fft.rfft(echo, size)

    def _tone(self, rows: int, hertz: Tensor) -> Tensor:
        octaves = torch.log2(torch.clamp(hertz, min=60) / 1000)
        tilt = self._uniform(rows, -3, 3) * octaves
        hump = torch.exp(-0.5 * ((octaves - self._uniform(rows, -2, 2)) / 0.6) ** 2)
        return 10 ** ((tilt + self._uniform(rows, -6, 6) * hump) / 20)

    def _limits(self, rows: int, hertz: Tensor) -> Tensor:
        """Band limits: half of all as narrow as a telephone, a headset by radio, 8 kHz sampling."""
        narrow = self._chance(rows, 0.5)
        top = torch.where(narrow, self._uniform(rows, 3200, 3950), self._uniform(rows, 5000, 9000))
        thin = self._chance(rows, 0.4)
        low = torch.where(thin, self._uniform(rows, 80, 350), self._uniform(rows, 1, 30))
        # Some headsets roll off, others cut: a gentle slope alone leaves the pitch to be heard.
        below = (low / hertz.clamp(min=1)) ** self._uniform(rows, 4, 30)
        return torch.rsqrt(1 + below) / torch.sqrt(1 + (hertz / top) ** 24)

    def _noise(self, sound: Tensor, spoken: Tensor, severity: Severity) -> Tensor:
        rows, length = sound.shape
        peak = sound.abs().amax(1, keepdim=True)
        loud = sound.abs() > 0.05 * peak
        energy = (sound.pow(2) * loud).sum(1, keepdim=True) / loud.sum(1, keepdim=True).clamp(min=1)
        voice = torch.where(spoken, energy.sqrt() * 0.9, 0.05)
        ratio = torch.where(
            self._chance(rows, severity.noisy),
            self._uniform(rows, -6, 26),
            self._uniform(rows, 20, 45),
        )
        ratio = torch.where(spoken, ratio, self._uniform(rows, -10, 10))
        noise = self._background(rows, length) * voice * 10 ** (-ratio / 20)
        second = self._chance(rows, 0.12) & spoken
        quieter = 10 ** (-self._uniform(rows, 8, 25) / 20)
        crowd = self._crowd(sound, voice) * (self._chance(rows, 0.08) & spoken)
        return noise + torch.roll(sound, 1, 0) * second * quieter + crowd

    def _background(self, rows: int, length: int) -> Tensor:
        """Return noise of RMS 1, in a third of the rows two noises at once."""
        share = self._uniform(rows, 0.2, 1) * self._chance(rows, 0.35)
        both = self._played(rows, length) + self._played(rows, length) * share
        return both / torch.sqrt(1 + share.pow(2))

    def _played(self, rows: int, length: int) -> Tensor:
        """Return noises of the bank from a place and at a pace drawn by chance."""
        kept = self._noises.shape[1]
        pick = torch.randint(len(self._noises), (rows, 1), device=self._device)
        begin = torch.randint(kept, (rows, 1), device=self._device)
        other = self._chance(rows, 0.6)
        pace = torch.where(other, self._uniform(rows, *_PACES), 1.0)
        at = torch.arange(length, device=self._device)[None] * pace
        whole = at.floor()
        left = (begin + whole.long()) % kept
        right = (left + 1) % kept
        part = at - whole
        bank = self._noises
        return bank[pick, left].float() * (1 - part) + bank[pick, right].float() * part

    def _crowd(self, sound: Tensor, voice: Tensor) -> Tensor:
        """Return several voices at once, 3 to 25 dB below the one that counts."""
        others = [torch.roll(sound, shift, (0, 1)) for shift in ((3, 4000), (5, -7000), (7, 900))]
        crowd = torch.stack(others).sum(0)
        level = crowd.pow(2).mean(1, keepdim=True).sqrt() + 1e-4
        return crowd / level * voice * 10 ** (-self._uniform(len(sound), 3, 25) / 20)


def mask(features: Tensor, mean: Tensor) -> Tensor:
    """Hide up to two groups of six bands and one stretch of twelve frames."""
    rows, frames, _ = features.shape
    for axis, most, groups in ((2, 6.0, 2), (1, 12.0, 1)):
        count = BANDS if axis == 2 else frames
        shape = (1, 1, count) if axis == 2 else (1, count, 1)
        place = torch.arange(count, device=features.device).reshape(shape)
        for _ in range(groups):
            begin = torch.rand(rows, 1, 1, device=features.device) * count
            width = torch.rand(rows, 1, 1, device=features.device) * most
            hidden = (place >= begin) & (place < begin + width)
            features = torch.where(hidden, mean, features)
    return features
