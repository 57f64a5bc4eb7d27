"""An invented pair in an archway between two rooms, used by the sound tests."""

from dataclasses import replace

import pytest

from truehang.catalogue.seals import seals, sound_offers
from truehang.sound import (
    DoublePanel,
    Layer,
    LeafArea,
    Panel,
    PocketZone,
    Slit,
    SoundInput,
    usual_upgrades,
)

BOARD = Panel((Layer("plasterboard", 10),))
WALL = DoublePanel(face_a=BOARD, face_b=BOARD, cavity=90, stud_spacing=450)
HOLLOW = Panel((Layer("mdf", 3), Layer("honeycomb", 29), Layer("mdf", 3)), bonded=True)
SKINS = DoublePanel(face_a=BOARD, face_b=BOARD, cavity=90, stud_spacing=None)


def pocket(name: str) -> PocketZone:
    return PocketZone(
        name=name,
        width=800,
        height=2400,
        skins=SKINS,
        mouth_gap=6,
        tail=30,
        leaf_thickness=35,
        leaf=HOLLOW,
    )


@pytest.fixture
def pair() -> SoundInput:
    """Two hollow leaves, two pockets, every gap open."""
    return SoundInput(
        wall=WALL,
        wall_area=13.0,
        opening_area=8.7,
        leaves=(
            LeafArea("left leaf", 820, 2360, HOLLOW),
            LeafArea("right leaf", 820, 2360, HOLLOW),
        ),
        pockets=(pocket("left pocket"), pocket("right pocket")),
        slits=(
            Slit(name="under left", kind="floor", width=10, depth=35, length=820, place="edge"),
            Slit(name="under right", kind="floor", width=10, depth=35, length=820, place="edge"),
            Slit(name="meeting gap", kind="meeting", width=4, depth=35, length=2360),
            Slit(name="over the leaves", kind="head", width=6, depth=35, length=1640),
        ),
        receiving_volume=45.0,
    )


@pytest.fixture
def offered(pair: SoundInput) -> SoundInput:
    """The same with every usual upgrade on offer."""
    return replace(pair, upgrades=usual_upgrades(pair, sound_offers(), seals(), "AUD"))
