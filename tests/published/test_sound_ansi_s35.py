"""ANSI S3.5-1997, speech intelligibility index, octave procedure.

Source: OCTAVE.TST and OCTAVE_1.TST of the developers' kit that the standard's working group S3-79
publishes with its reference program (results 0.491 and 0.323), as quoted in the tests of the R
package SII. (The tables of constants were also read against those of MOSQITO 1.2.1.)
"""

import numpy as np
import pytest

from truehang.catalogue.noises import noises
from truehang.sound import speech
from truehang.sound.speech import BANDWIDTH, IMPORTANCE, NORMAL_SPEECH, sii

SPEECH = np.array([50.0, 40, 40, 30, 20, 0])
NOISE = np.array([70.0, 65, 45, 25, 1, -15])


THRESHOLD = np.array([0, 0, 0, 0, 0, 7.10])


def test_octave_tst() -> None:
    assert round(sii(SPEECH, NOISE, THRESHOLD), 3) == 0.491


def test_octave_1_tst(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(speech, "IMPORTANCE", np.array([0.0, 0, 1, 0, 0, 0]))
    assert round(sii(SPEECH, NOISE, THRESHOLD), 3) == 0.323


def test_importance_adds_up_to_one() -> None:
    assert float(np.sum(IMPORTANCE)) == pytest.approx(1.0)


def test_catalogue_speech_is_the_standards() -> None:
    # Band level = spectrum level + 10 lg of the bandwidth.
    normal = next(noise for noise in noises() if noise.key == "speech-normal")
    assert np.array(normal.levels[2:]) - BANDWIDTH == pytest.approx(NORMAL_SPEECH, abs=0.006)


def test_ends_of_the_scale() -> None:
    quiet = np.full(6, -30.0)
    assert sii(NORMAL_SPEECH + 10, quiet) == pytest.approx(1.0)
    assert sii(NORMAL_SPEECH, NORMAL_SPEECH + 15) == pytest.approx(0.0, abs=1e-9)
    assert sii(NORMAL_SPEECH, NORMAL_SPEECH) == pytest.approx(0.5)
