"""The gaps round closed leaves."""

from dataclasses import replace

from tests.sound.predicted import predict

from truehang.sound import SoundInput, perimeter_slits


def test_a_pair_has_five_gaps(pair: SoundInput) -> None:
    slits = perimeter_slits(
        pair.leaves, 35, floor_gap=10, head_gap=6, closing_gap=4, seals={"floor": "drop"}
    )
    assert [slit.name for slit in slits] == [
        "under left leaf",
        "over left leaf",
        "under right leaf",
        "over right leaf",
        "meeting edge",
    ]
    assert [slit.seal for slit in slits if slit.kind == "floor"] == ["drop", "drop"]
    assert {slit.place for slit in slits if slit.kind == "floor"} == {"edge"}
    assert slits[-1].length == 2360
    assert predict(replace(pair, slits=slits)).after.rating.rw > 10


def test_a_single_leaf_closes_on_a_jamb_and_no_gap_is_no_slit(pair: SoundInput) -> None:
    slits = perimeter_slits(pair.leaves[:1], 35, floor_gap=8, head_gap=0, closing_gap=3)
    assert [slit.kind for slit in slits] == ["floor", "jamb"]
    assert perimeter_slits((), 35, floor_gap=8, head_gap=0, closing_gap=3) == ()
