"""A prediction from bakes that work, by linear least squares with known ranges of what they share.

For each bake, ln(minutes) = a + g + Σ J·θ + error. g is the result of conduction in the central case. θ is how far each
assumption lies from its central value, in units of its range, and J is how much ln(minutes) changes with it. a is the
batter's own slowness, about which little is known beforehand.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from operator import mul


@dataclass(frozen=True, slots=True, kw_only=True)
class Observed:
    """One bake: ln(minutes), its central ln(s), the change of ln(s) with each assumption, and its own error."""

    log_minutes: float
    log_s: float
    slopes: tuple[float, ...]
    error: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Prediction:
    """ln(minutes) of a target, and its spread, in the unit of the ranges. `scatter` is that of the bakes around it.

    `shifts` is how far each assumption lies from its central value, as far as the bakes say.
    """

    log_minutes: float
    spread: float
    scatter: float
    shifts: tuple[float, ...]


def predict(
    observed: Sequence[Observed], log_s: float, slopes: Sequence[float], prior: Observed | None = None
) -> Prediction:
    """Predict a target from the bakes that work.

    Args:
        observed: at least one bake; each error is above 0.
        log_s: of the target, in the central case.
        slopes: of the target, for the same assumptions as those of the bakes.
        prior: what is known of the batter's slowness before, as if it had been observed; not counted in the scatter.
    Returns:
        The prediction without the target's own error.
    Source:
        Generalised least squares with a prior of mean 0 and variance 1 for each θ, and for a only what `prior` says:
        the normal equations. a itself is then the mean of what the bakes say, so that equal bakes keep their minutes.
        If the bakes scatter more than their stated errors, the errors grow to that scatter.

    >>> made = predict([Observed(log_minutes=3.0, log_s=1.0, slopes=(0.5,), error=0.1)], 1.2, (0.8,))
    >>> round(made.log_minutes, 6), round(made.spread**2, 6)
    (3.2, 0.1)
    """
    first = _fit(observed, log_s, slopes, prior, 1.0)
    if len(observed) <= 2:  # two bakes say too little about their own scatter
        return first
    usual = math.sqrt(sum(each.error**2 for each in observed) / len(observed))
    return first if first.scatter <= usual else _fit(observed, log_s, slopes, prior, first.scatter / usual)


def _fit(
    observed: Sequence[Observed], log_s: float, slopes: Sequence[float], prior: Observed | None, inflation: float
) -> Prediction:
    size = len(slopes) + 1
    matrix = [[1.0 if i == j and i else 0.0 for j in range(size)] for i in range(size)]
    right = [0.0] * size
    weighted = [(each, (each.error * inflation) ** -2) for each in observed]
    if prior is not None:
        weighted.append((prior, prior.error**-2))
    for each, weight in weighted:
        row = (1.0, *each.slopes)
        for i in range(size):
            right[i] += weight * row[i] * (each.log_minutes - each.log_s)
            for j in range(size):
                matrix[i][j] += weight * row[i] * row[j]
    at = [1.0, *slopes]
    fitted, gained = solve_symmetric(matrix, [right, at])
    shifts = fitted[1:]
    own = [
        each.log_minutes - each.log_s - sum(x * y for x, y in zip(each.slopes, shifts, strict=True))
        for each in observed
    ]
    of_bakes = [weight for _, weight in weighted[: len(observed)]]
    mean = sum(weight * each for weight, each in zip(of_bakes, own, strict=True)) / sum(of_bakes)
    residuals = [each - mean for each in own]
    free = max(1, len(observed) - 1)
    return Prediction(
        log_minutes=log_s + mean + sum(x * y for x, y in zip(slopes, shifts, strict=True)),
        spread=math.sqrt(sum(x * y for x, y in zip(at, gained, strict=True))),
        scatter=math.sqrt(sum(r * r for r in residuals) / free),
        shifts=tuple(shifts),
    )


def solve_symmetric(matrix: Sequence[Sequence[float]], right_sides: Sequence[Sequence[float]]) -> list[list[float]]:
    """Solve a symmetric positive definite system for several right sides.

    Args:
        matrix: square.
        right_sides: each as long as the matrix.
    Returns:
        One solution for each right side.
    Source:
        Cholesky's decomposition.

    >>> solve_symmetric([[4.0, 2.0], [2.0, 5.0]], [[8.0, 12.0]])
    [[1.0, 2.0]]
    """
    size = len(matrix)
    lower = [[0.0] * size for _ in range(size)]
    for i in range(size):
        for j in range(i + 1):
            rest = matrix[i][j] - sum(map(mul, lower[i][:j], lower[j]))
            lower[i][j] = math.sqrt(rest) if i == j else rest / lower[j][j]
    solutions = []
    for right in right_sides:
        half = [0.0] * size
        for i in range(size):
            half[i] = (right[i] - sum(map(mul, lower[i][:i], half))) / lower[i][i]
        whole = [0.0] * size
        for i in reversed(range(size)):
            whole[i] = (half[i] - sum([lower[k][i] * whole[k] for k in range(i + 1, size)])) / lower[i][i]
        solutions.append(whole)
    return solutions
