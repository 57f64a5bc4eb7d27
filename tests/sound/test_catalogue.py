"""The catalogue's sound data hold together."""

import pytest

from truehang.catalogue.materials import materials, nearest
from truehang.catalogue.noises import noises
from truehang.catalogue.seals import seals, sound_offers
from truehang.sound import SoundInput, usual_upgrades
from truehang.sound.bands import A_OCTAVE, energy_sum


def test_keys_are_unique() -> None:
    for table in (materials(), seals(), sound_offers(), noises()):
        keys = [row.key for row in table]
        assert len(keys) == len(set(keys))
        assert all(row.source for row in table)


def test_glass_weighs_2_5_kg_per_mm() -> None:
    glass = next(material for material in materials() if material.key == "glass")
    assert glass.surface_density(6) == pytest.approx(15.0)  # from memory: check EN 572-1
    # From memory: 70 GPa for soda-lime glass, check EN 572-1; the wave speed: check Hopkins, A2.
    assert glass.youngs_modulus == pytest.approx(70_000, rel=0.15)


def test_a_stocked_sheet_has_its_own_mass() -> None:
    board = next(material for material in materials() if material.key == "plasterboard")
    assert board.surface_density(10) == 6.5
    assert board.surface_density(11) == pytest.approx(7.48)


def test_offers_name_known_things() -> None:
    known = {material.key for material in materials()}
    sealing = {seal.key: seal for seal in seals()}
    for offer in sound_offers():
        assert all(material in known for material, _ in offer.layers)
        for kind, seal in offer.seals:
            assert kind in sealing[seal].suits
        assert offer.infill is None or offer.infill[0] in known


def test_speech_is_near_60_dBA_and_dogs_louder() -> None:
    # ANSI S3.5-1997: normal speech at 1 m is 62.35 dB overall, about 59 dB(A).
    loud = {noise.key: energy_sum(A_OCTAVE + noise.levels) for noise in noises()}
    assert loud["speech-normal"] == pytest.approx(59, abs=1.5)
    assert loud["speech-normal"] < loud["speech-raised"] < loud["speech-loud"]
    assert loud["dogs-barking"] > loud["speech-loud"]


def test_offers_are_priced_by_the_opening(pair: SoundInput) -> None:
    upgrades = {up.key: up for up in usual_upgrades(pair, sound_offers(), seals(), "AUD")}
    assert upgrades["solid-leaf"].cost.minor == 64_000
    assert upgrades["meeting-rebate"].cost.minor == round(4500 * 2.36)
    assert upgrades["meeting-rebate"].slits[0].depth == 75
    sealed = dict(upgrades["good-seals"].seals)
    assert sealed["under left"] == "drop"
    assert sealed["meeting gap"] == "compression"
    assert sealed["left pocket"] == "brush-double"


def test_offers_that_do_not_fit_are_left_out(pair: SoundInput) -> None:
    from dataclasses import replace

    bare = replace(pair, slits=(), pockets=())
    keys = {upgrade.key for upgrade in usual_upgrades(bare, sound_offers(), seals(), "AUD")}
    assert keys == {"solid-leaf", "heavy-leaf", "heavy-lining"}


def test_nearest() -> None:
    assert nearest("glas", ("glass", "steel")) == "did you mean 'glass'?"
    assert nearest("qqqq", ("glass", "steel")) == "choose one of glass, steel"
