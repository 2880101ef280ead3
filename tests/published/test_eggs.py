"""Eggs, compared with the classes of laws and trade codes and with studies of the parts of eggs."""

import math

import pytest

from domain.measures.units import UNITS
from domain.things.eggs import EGG_CLASSES, PARTS, EggPart, count_eggs, dried_egg, egg_mass, liquid_egg_ml
from tests.published.printed import printed
from tests.strategies import egg_of

EU = "Regulation (EC) 589/2008 Art 4, secondary"
US = "7 Pa. Code 87.42"
CA = "BCcampus, Understanding Ingredients, ch. 40"
AU = "encyclopaedia table of Australian sizes"
NZ = "New Zealand code of practice 2002, secondary"
JP = "MAFF notice 46-Chiku-2947, annex"
SR28 = "USDA SR28"
STUDY = "Int. J. Poultry Sci. 6(3) 2007, abstract: 299 eggs"

BOUNDS = [  # class, minimum and maximum grams with shell; None if the source sets no bound
    ("eu_xl", 73, None, EU),
    ("eu_l", 63, 73, EU),
    ("eu_m", 53, 63, EU),
    ("eu_s", None, 53, EU),
    ("us_jumbo", 70.87, None, US),
    ("us_extra_large", 63.79, 70.87, US),
    ("us_large", 56.7, 63.79, US),
    ("us_medium", 49.61, 56.7, US),
    ("us_small", 42.52, 49.61, US),
    ("us_peewee", 35.44, 42.52, US),
    ("ca_jumbo", 70, None, CA),
    ("ca_extra_large", 63, 70, CA),
    ("ca_large", 56, 63, CA),
    ("ca_medium", 49, 56, CA),
    ("ca_small", 42, 49, CA),
    ("ca_peewee", None, 42, CA),
    ("au_king_size", 70.0, 78.5, AU),
    ("au_jumbo", 66.7, 70.0, AU),
    ("au_extra_large", 58.3, 66.6, AU),
    ("au_large", 50.0, 58.2, AU),
    ("au_medium", 42.0, 49.9, AU),
    ("nz_jumbo", 68, None, NZ),
    ("nz_large", 62, 68, NZ),
    ("nz_standard", 53, 62, NZ),
    ("nz_medium", 44, 53, NZ),
    ("nz_pullet", 35, 44, NZ),
    ("jp_ll", 70, 76, JP),
    ("jp_l", 64, 70, JP),
    ("jp_m", 58, 64, JP),
    ("jp_ms", 52, 58, JP),
    ("jp_s", 46, 52, JP),
    ("jp_ss", 40, 46, JP),
]


@pytest.mark.parametrize(("name", "least", "most", "source"), BOUNDS, ids=[f"{row[0]} - {row[3]}" for row in BOUNDS])
def test_class_bounds_equal_those_of_the_source(
    name: str, least: float | None, most: float | None, source: str
) -> None:
    ours = EGG_CLASSES[name]
    assert least in (ours.min_g, None), source
    assert most in (ours.max_g, None), source
    assert ours.open_end == ("above" if most is None else "below" if least is None else "")
    assert ours.min_g <= ours.typical_g <= ours.max_g


def test_every_class_of_the_table_is_checked() -> None:
    assert sorted(EGG_CLASSES) == sorted(row[0] for row in BOUNDS)


EDIBLE = [  # USDA SR28, NDB 01123 WEIGHT: grams without the shell
    ("us_small", "38"),
    ("us_medium", "44"),
    ("us_large", "50"),
    ("us_extra_large", "56"),
    ("us_jumbo", "63"),
]


@pytest.mark.parametrize(("name", "grams"), EDIBLE, ids=[f"{name} - {SR28}, NDB 01123" for name, _ in EDIBLE])
def test_edible_masses_of_us_classes(name: str, grams: str) -> None:
    assert egg_mass("whole", EGG_CLASSES[name]).grams == printed(grams)


@pytest.mark.parametrize(
    ("part", "grams"), [("white", 33), ("yolk", 17)], ids=[f"white - {SR28}, NDB 01124", f"yolk - {SR28}, NDB 01125"]
)
def test_usda_parts_of_a_large_egg_lie_in_the_range(part: EggPart, grams: float) -> None:
    mass = egg_mass(part, EGG_CLASSES["us_large"])
    assert mass.low <= grams <= mass.high
    assert mass.grams == pytest.approx(grams, abs=1.5)  # the study's hens lay a smaller yolk than USDA's


def test_a_us_cup_holds_4_86_large_eggs() -> None:  # USDA SR28, NDB 01123 WEIGHT seq 5: 4.86 large eggs, 243 g
    assert count_eggs(243, "whole", EGG_CLASSES["us_large"]).exact == printed("4.86")


@pytest.mark.parametrize("part", PARTS)
def test_a_us_cup_of_liquid_egg_weighs_243_g(part: EggPart) -> None:  # USDA SR28, NDB 01123, 01124, 01125 WEIGHT
    assert liquid_egg_ml(243, part) == pytest.approx(float(UNITS["us_cup"].factor), rel=1e-15)


def shares(shell_on_g: float) -> dict[str, float]:
    grams = {part: egg_mass(part, egg_of(shell_on_g)).grams / shell_on_g for part in PARTS}
    return {"white": grams["white"], "yolk": grams["yolk"], "shell": 1 - grams["whole"]}


MEAN_EGG = [("white", "0.6053"), ("yolk", "0.2794"), ("shell", "0.1153")]


@pytest.mark.parametrize(("part", "share"), MEAN_EGG, ids=[f"{part} - {STUDY}" for part, _ in MEAN_EGG])
def test_the_mean_egg_of_the_study_has_the_printed_shares(part: str, share: str) -> None:
    assert shares(55.64)[part] == printed(share)


@pytest.mark.parametrize(
    ("part", "grams"), [("white", 33.91), ("yolk", 15.65), ("shell", 6.46)], ids=lambda v: f"{v} - {STUDY}"
)
def test_the_mean_masses_of_the_study_give_the_same_shares(part: str, grams: float) -> None:
    # The printed means add up to 33.91 + 15.65 + 6.46 = 56.02 g, not 55.64 g, so shares are of that sum.
    assert shares(55.64)[part] == pytest.approx(grams / 56.02, abs=1e-4)


# By hand from the printed exponents (white 1.009, yolk 0.907, shell 0.742; mass = a × W^b):
#   at 45 g, 45/55.64 = 0.80877; white 0.6053 × 0.80877^0.009 = 0.60414, yolk 0.2794 × 0.80877^-0.093 = 0.28497,
#            shell 0.1153 × 0.80877^-0.258 = 0.12179; they add up to 1.01090, by which each is divided.
#   at 65 g, 65/55.64 = 1.16822; 0.60615 + 0.27539 + 0.11077 = 0.99231
#   at 75 g, 75/55.64 = 1.34795; 0.60693 + 0.27175 + 0.10675 = 0.98543
ALLOMETRY = [
    (45.0, "0.5976", "0.2819", "0.1205"),
    (65.0, "0.6108", "0.2775", "0.1116"),
    (75.0, "0.6159", "0.2758", "0.1083"),
]


@pytest.mark.parametrize(
    ("shell_on_g", "white", "yolk", "shell"), ALLOMETRY, ids=[f"{STUDY}: {row[0]:g} g" for row in ALLOMETRY]
)
def test_shares_change_with_size_by_the_printed_exponents(shell_on_g: float, white: str, yolk: str, shell: str) -> None:
    assert shares(shell_on_g) == {"white": printed(white), "yolk": printed(yolk), "shell": printed(shell)}


@pytest.mark.parametrize(
    ("part", "exponent"), [("yolk", 0.907 - 1.009)], ids=[f"yolk to white - {STUDY}: 0.907 − 1.009"]
)
def test_yolk_against_white_follows_the_difference_of_the_exponents(part: EggPart, exponent: float) -> None:
    small, large = egg_of(48), egg_of(72)
    ratio = [egg_mass(part, egg).grams / egg_mass("white", egg).grams for egg in (small, large)]
    assert math.log(ratio[1] / ratio[0]) / math.log(72 / 48) == pytest.approx(exponent, rel=1e-9)


OTHER_STUDIES = [  # share of the mass with shell
    ("white", 0.63, "CRC Press chapter, crediting a 1977 review"),
    ("yolk", 0.275, "CRC Press chapter, crediting a 1977 review"),
    ("white", 0.57, "Japan poultry association, low end"),
    ("white", 0.634, "Japan poultry association, high end"),
    ("yolk", 0.28, "Japan poultry association, low end"),
    ("yolk", 0.306, "Japan poultry association, high end"),
    ("white", 0.58, "classical handbook split"),
    ("yolk", 0.31, "classical handbook split"),
]


@pytest.mark.parametrize(("part", "share", "source"), OTHER_STUDIES, ids=str)
def test_shares_of_other_studies_lie_in_the_range(part: EggPart, share: float, source: str) -> None:
    mass = egg_mass(part, egg_of(60))
    assert mass.low <= 60 * share * (1 + 1e-12), source
    assert 60 * share <= mass.high * (1 + 1e-12), source


SHELLS = [
    (0.0946, "Poultry Sci. 19(4) 1940, Table 1"),
    (0.11, "classical handbook split"),
    (0.12, f"{SR28}, NDB 01123 refuse"),
    (0.081, "Japan poultry association, low end"),
    (0.124, "Japan poultry association, high end"),
]


@pytest.mark.parametrize(("shell", "source"), SHELLS, ids=str)
def test_whole_egg_without_its_shell_lies_in_the_range(shell: float, source: str) -> None:
    mass = egg_mass("whole", egg_of(60))
    assert mass.low <= 60 * (1 - shell) * (1 + 1e-12), source
    assert 60 * (1 - shell) <= mass.high * (1 + 1e-12), source


DRIED: list[tuple[EggPart, str, str]] = [  # parts of dried product in one of liquid; water on one of dried
    ("whole", "0.2476", "3.039"),  # 23.85 / 96.33 % solids: NDB 01123, 01133
    ("white", "0.1359", "6.358"),  # 12.43 / 91.46 % solids: NDB 01124, 01136
    ("yolk", "0.4903", "1.040"),  # 47.69 / 97.27 % solids: NDB 01125, 01137
]


@pytest.mark.parametrize(("part", "dried", "water"), DRIED, ids=[f"{row[0]} - {SR28}, solids balance" for row in DRIED])
def test_dried_egg_and_its_water(part: EggPart, dried: str, water: str) -> None:
    product = dried_egg(1000, part)
    assert product.grams / 1000 == printed(dried)
    assert product.water_grams / product.grams == printed(water)
    assert product.grams + product.water_grams == pytest.approx(1000, rel=1e-15)
