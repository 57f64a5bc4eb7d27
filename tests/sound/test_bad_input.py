"""Bad input is named: the field, the value and the mend."""

from dataclasses import replace
from typing import Any

import pytest
from tests.sound.predicted import predict

from truehang.catalogue.materials import Material, materials
from truehang.money import Money
from truehang.sound import (
    DoublePanel,
    Layer,
    LeafArea,
    Panel,
    SoundInput,
    SoundInputError,
    Upgrade,
)


def refused(given: SoundInput, **keywords: Any) -> SoundInputError:
    with pytest.raises(SoundInputError) as caught:
        predict(given, **keywords)
    assert caught.value.field in str(caught.value)
    assert caught.value.mend in str(caught.value)
    return caught.value


def wall_of(layer: Layer) -> DoublePanel:
    return DoublePanel(face_a=Panel((layer,)), face_b=Panel((layer,)), cavity=90)


def test_unknown_material_suggests_the_nearest(pair: SoundInput) -> None:
    error = refused(replace(pair, wall=wall_of(Layer("plasterbord", 10))))
    assert error.field == "wall.face_a.layers[0].material"
    assert error.value == "plasterbord"
    assert error.mend == "did you mean 'plasterboard'?"


def test_material_like_no_other_lists_them(pair: SoundInput) -> None:
    error = refused(replace(pair, wall=wall_of(Layer("zzz", 10))))
    assert "plasterboard, " in error.mend


@pytest.mark.parametrize("thickness", [0.0, -10.0, float("nan")])
def test_thickness(pair: SoundInput, thickness: float) -> None:
    error = refused(replace(pair, wall=wall_of(Layer("plasterboard", thickness))))
    assert error.field == "wall.face_a.layers[0].thickness"


def test_missing_surface_density(pair: SoundInput) -> None:
    plain = next(material for material in materials() if material.key == "plasterboard")
    unknown = plain.model_copy(update={"density": None, "surface_densities": ()})
    stock: tuple[Material, ...] = (
        *(material for material in materials() if material.key != "plasterboard"),
        unknown,
    )
    error = refused(pair, stock=stock)
    assert error.field == "wall.face_a.layers[0].surface_density"
    assert "weigh an offcut" in error.mend
    weighed = wall_of(Layer("plasterboard", 10, 6.5))
    bare = replace(pair, wall=weighed, pockets=())
    assert predict(bare, stock=stock).after.rating.rw > 0


def test_slit_wider_than_the_wall(pair: SoundInput) -> None:
    wide = replace(pair.slits[0], width=20_000)
    error = refused(replace(pair, slits=(wide,)))
    assert error.field == "slits[0].width"
    assert "wider than the wall" in error.what


def test_slit_that_is_an_opening(pair: SoundInput) -> None:
    error = refused(replace(pair, slits=(replace(pair.slits[0], width=150),)))
    assert "an opening, not a slit" in error.what


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"wall_area": 0}, "wall_area"),
        ({"opening_area": 14}, "opening_area"),
        ({"receiving_volume": -1}, "receiving_volume"),
        ({"reverberation_time": 0}, "reverberation_time"),
        ({"draws": 10}, "draws"),
        ({"model_sd": -1}, "model_sd"),
        ({"surface_density_cv": float("inf")}, "surface_density_cv"),
        ({"source": "quiet-room"}, "source"),
        ({"background": "quit-room"}, "background"),
        ({"background": (30.0,) * 7}, "background"),
        ({"wall_area": 7.0, "opening_area": 7.0}, "wall_area"),
        ({"leaves": (LeafArea("a", 0, 2360, Panel((Layer("mdf", 18),))),)}, "leaves[0].width"),
        ({"leaves": (LeafArea("a", 820, 2360, Panel(())),)}, "leaves[0].construction.layers"),
    ],
)
def test_plain_values(pair: SoundInput, changes: dict[str, Any], field: str) -> None:
    assert refused(replace(pair, **changes)).field == field


def test_cavity_and_infill(pair: SoundInput) -> None:
    wall = wall_of(Layer("plasterboard", 10))
    cases = {
        "wall.cavity": replace(wall, cavity=0),
        "wall.stud_spacing": replace(wall, stud_spacing=-600),
        "wall.infill": replace(wall, infill="mdf", infill_thickness=50),
        "wall.infill_thickness": replace(wall, infill="glass-wool", infill_thickness=120),
    }
    for field, changed in cases.items():
        assert refused(replace(pair, wall=changed)).field == field
    assert refused(replace(pair, wall=replace(wall, infill_thickness=50))).value == 50


def test_infill_that_would_rub_on_the_leaf(pair: SoundInput) -> None:
    tight = replace(pair.pockets[0].skins, infill="polyester", infill_thickness=60)
    error = refused(replace(pair, pockets=(replace(pair.pockets[0], skins=tight),)))
    assert error.field == "pockets[0].skins.cavity"
    assert "rub" in error.what


def test_names_are_needed_once(pair: SoundInput) -> None:
    twice = (pair.leaves[0], replace(pair.leaves[1], name="left leaf"))
    assert "twice" in refused(replace(pair, leaves=twice)).what
    alike = (pair.leaves[0], replace(pair.leaves[1], name="Left-leaf"))
    assert "twice" in refused(replace(pair, leaves=alike)).what
    mouth = replace(pair.slits[0], name="mouth of left pocket")
    assert "twice" in refused(replace(pair, slits=(mouth,))).what
    unnamed = (replace(pair.leaves[0], name=" "), pair.leaves[1])
    assert "no name" in refused(replace(pair, leaves=unnamed)).what


def test_unknown_seal(pair: SoundInput) -> None:
    error = refused(replace(pair, slits=(replace(pair.slits[0], seal="brsh"),)))
    assert (error.field, error.mend) == ("slits[0].seal", "did you mean 'brush'?")


def test_upgrades(pair: SoundInput) -> None:
    plain = Upgrade(key="a", label="a", cost=Money(100, "AUD"))
    cases = [
        (plain, plain),
        (replace(plain, cost=Money(-1, "AUD")),),
        (plain, replace(plain, key="b", cost=Money(1, "USD"))),
        (replace(plain, seals=(("no such gap", "brush"),)),),
        (replace(plain, leaf=Panel((Layer("mdf", -3),))),),
        (replace(plain, lining=(Layer("mdff", 3),)),),
    ]
    for upgrades in cases:
        assert refused(replace(pair, upgrades=upgrades)).field.startswith("upgrades[")
