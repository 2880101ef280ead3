"""The cost of a bake estimate with all its cases, as ratios within one run."""

from collections.abc import Callable

import pytest

from domain.baking import cases as bake_cases
from domain.baking import conduction
from domain.baking.assumptions import Swept, errors_of_a_bake, sweeps
from domain.baking.cases import TIN_MATERIALS, Bake, BatterPieces, solve
from domain.baking.oven import parse_oven
from domain.baking.window import estimate_bake
from domain.tins.text import parse_tin
from tests.load.clock import best_ms
from tests.load.worst.asking import yardstick_ms

pytestmark = pytest.mark.benchmark


def _bake(tin: str, depth: float, *, pieces: bool = False) -> Bake:
    return Bake(
        tin=parse_tin(tin),
        filled_depth_mm=depth,
        oven=parse_oven("180 celsius"),
        start_c=20.0,
        material=TIN_MATERIALS["dull_metal"],
        pieces=BatterPieces(diameter_mm=28, start_c=-18, count=25) if pieces else None,
    )


PAIRS = {
    "square": (_bake("square 20 cm", 40), _bake("square 30 cm", 55)),
    "round": (_bake("round 20 cm", 60), _bake("round 26 cm", 45)),
    "tall round": (_bake("round 12 cm", 80), _bake("round 15 cm", 90)),
    "pieces": (_bake("square 20 cm", 40), _bake("rectangle 20 x 30 cm", 55, pieces=True)),
}


def _cold(action: Callable[[], object]) -> Callable[[], object]:
    """The action with every cache of the bake model empty."""

    def run() -> object:
        conduction._terms.cache_clear()
        bake_cases.solved_heating.cache_clear()
        estimate_bake.cache_clear()
        return action()

    return run


@pytest.mark.parametrize("name", PAIRS)
def test_an_estimate_costs_less_than_its_cases_one_by_one(name: str) -> None:
    """Figures that act only through the film share one pair of solutions, which pays for the window and the rest."""
    reference, target = PAIRS[name]
    swept = Swept(pieces=target.has_pieces)
    ends = [case for sweep in (*sweeps(swept), *errors_of_a_bake(swept)) for case in (sweep.low, sweep.high)]
    one_by_one = best_ms(_cold(lambda: [solve(reference, 45, 96.0, target, case) for case in ends]))
    whole = best_ms(_cold(lambda: estimate_bake(reference, 45, target).lethality))
    print(f"\n{name}: the cases {one_by_one:.2f} ms, the estimate {whole:.2f} ms: {whole / one_by_one:.2f}")
    assert whole < 1.2 * one_by_one


def test_a_cold_window_costs_less_than_its_limit() -> None:
    """The limit is 5 ms where the yardstick takes 10 ms, with the margin of the worst requests."""
    for name, (reference, target) in PAIRS.items():
        cold = best_ms(_cold(lambda r=reference, t=target: estimate_bake(r, 45, t).lethality))  # type: ignore[misc]
        share = cold / yardstick_ms()
        print(f"\n{name}: {cold:.2f} ms, {share:.2f} times the yardstick")
        assert share < 1.4 * 5 / 10


@pytest.mark.parametrize("name", PAIRS)
def test_a_repeated_estimate_costs_a_fraction_of_the_first(name: str) -> None:
    reference, target = PAIRS[name]
    first = best_ms(_cold(lambda: estimate_bake(reference, 45, target)))
    again = best_ms(lambda: estimate_bake(reference, 45, target), repeats=50)
    print(f"\n{name}: first {first:.3f} ms, again {again:.4f} ms: {first / again:.0f} x")
    assert again < first / 10
