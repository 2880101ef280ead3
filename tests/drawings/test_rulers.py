"""Figures along a ruler: no two touch, and every figure that has room is shown."""

import random
from itertools import combinations

import pytest

from api.drawings.rulers import LEADER, PAD, Figure, Ruler, Side, fit_ruler
from api.drawings.svg import FIGURE, LINE_HEIGHT, width_of


def some_figures(rng: random.Random, count: int) -> list[Figure]:
    places = sorted(rng.uniform(0, 100) for _ in range(count))
    marks = [Figure(place=place, label=rng.choice(["1", "10 15/16", "188.8"])) for place in places]
    return [Figure(place=0.0, label="0", kind="zero"), *marks, Figure(place=100.0, label="100", kind="end")]


def extent(ruler: Ruler, label: str) -> float:
    upright = ruler.turned or ruler.side in {"left", "right"}
    return FIGURE * LINE_HEIGHT if upright else width_of(label, FIGURE)


def touch(ruler: Ruler, first: tuple[Figure, int], second: tuple[Figure, int]) -> bool:
    apart = abs(first[0].place - second[0].place)
    if first[1] == second[1]:
        return apart < (extent(ruler, first[0].label) + extent(ruler, second[0].label)) / 2 + PAD
    lower = min(first, second, key=lambda placed: placed[1])[0]
    return apart < extent(ruler, lower.label) / 2 + LEADER


@pytest.mark.parametrize("side", ["top", "left"])
@pytest.mark.parametrize("count", [1, 4, 9, 20, 40, 300])
def test_no_figures_touch_and_omitted_figures_have_no_room(side: Side, count: int) -> None:
    rng = random.Random(count)  # noqa: S311 - reproducible cases, not a secret
    for _ in range(10):
        figures = some_figures(rng, count)
        ruler = fit_ruler(side, figures, measure="mm", unit=1.0, size=FIGURE)
        assert not [pair for pair in combinations(ruler.figures, 2) if touch(ruler, *pair)]
        shown = {id(figure) for figure, _ in ruler.figures}
        for left_out in (figure for figure in figures if id(figure) not in shown):
            assert any(touch(ruler, (left_out, 0), placed) for placed in ruler.figures)


def test_all_figures_are_on_one_level_if_they_have_room() -> None:
    figures = [Figure(place=20.0 * i, label=str(i)) for i in range(6)]
    ruler = fit_ruler("bottom", figures, measure="in", unit=1.0, size=FIGURE)
    assert [(figure.place, level) for figure, level in ruler.figures] == [(20.0 * i, 0) for i in range(6)]
