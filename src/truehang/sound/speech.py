"""What is heard on the other side, and can talk be understood?

SII: ANSI S3.5-1997, octave-band procedure, normal hearing. The words for it follow the usual
speech-privacy classes (from memory: ASTM E1130 reads an index up to 0.05 as confidential and up
to 0.20 as normal privacy; check it there: its index is the older articulation index).
"""

from __future__ import annotations

import numpy as np

from truehang.catalogue.noises import Noise
from truehang.sound.bands import A_OCTAVE, Floats, decibels, energy_sum, octaves_of
from truehang.sound.result import Heard

IMPORTANCE: Floats = np.array([0.0617, 0.1671, 0.2373, 0.2648, 0.2142, 0.0549])
"""Band importance, octaves 250-8000 Hz (ANSI S3.5-1997 table 4)."""

NORMAL_SPEECH: Floats = np.array([34.75, 34.27, 25.01, 17.32, 9.33, 1.13])
"""Standard speech spectrum level, normal effort, dB per Hz (table 4)."""

INTERNAL_NOISE: Floats = np.array([-3.90, -9.70, -12.50, -17.70, -25.90, -7.10])
"""Reference internal noise spectrum level, dB per Hz (table 4)."""

BANDWIDTH: Floats = np.array([22.48, 25.48, 28.48, 31.48, 34.48, 37.48])
"""10 lg of the octave's width in Hz (table 4)."""

_SPEECH_WORDS = (
    (0.05, "talk is not understood"),
    (0.20, "you can hear that people talk, not what they say"),
    (0.45, "you catch parts of what is said"),
    (1.01, "you can follow what is said"),
)
_LEVEL_WORDS = (
    (-10.0, "not heard"),
    (0.0, "just heard when the room is quiet"),
    (10.0, "heard above the room's own noise"),
    (float("inf"), "clearly heard above the room's own noise"),
)


def sii(speech: Floats, noise: Floats, threshold: Floats | float = 0.0) -> float:
    """Speech intelligibility index from equivalent speech and noise spectrum levels (dB per Hz).

    Octaves 250-8000 Hz; `threshold` is the hearing loss in dB (0: normal hearing). The octave
    procedure has no spread of masking.
    """
    disturbance = np.maximum(noise, INTERNAL_NOISE + threshold)
    distortion = np.minimum(1 - (speech - NORMAL_SPEECH - 10) / 160, 1.0)
    audible = np.clip((speech - disturbance + 15) / 30, 0.0, 1.0)
    return float(np.sum(IMPORTANCE * distortion * audible))


def heard(source: Noise, voice: Noise, background: Floats, difference: Floats) -> Heard:
    """What arrives: `difference` is the level difference between the rooms by third octave, dB.

    `voice` is the talk that SII judges: the source itself when that is speech, else a normal voice.
    `background` has eight octave levels 63-8000 Hz.
    """
    through = decibels(octaves_of(10 ** (-difference / 10)))
    levels = np.array(source.levels) + through
    talk = (np.array(voice.levels) + through)[2:] - BANDWIDTH
    index = sii(talk, background[2:] - BANDWIDTH)
    level_a = energy_sum(levels + A_OCTAVE)
    background_a = energy_sum(background + A_OCTAVE)
    return Heard(
        octave_levels=tuple(round(float(level), 1) for level in levels),
        level_a=round(level_a, 1),
        background_a=round(background_a, 1),
        sii=round(index, 3),
        words=_words(source, index, level_a - background_a),
    )


def _words(source: Noise, index: float, above: float) -> str:
    loudness = next(word for limit, word in _LEVEL_WORDS if above <= limit)
    meaning = next(word for limit, word in _SPEECH_WORDS if index <= limit)
    return f"{source.name}: {loudness}; {meaning}"
