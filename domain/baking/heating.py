"""Heating of a batter's core: a product of one-dimensional solutions, and a cold piece in the middle.

A block heated on all faces is the product of plane walls, a disc that of a cylinder and a plane wall: the heat
equation separates when every face has the same film and the same surroundings (Conduction of Heat in Solids, 1959,
1.15, from memory). Time enters only as s = diffusivity · time, in mm², so the diffusivity need not be known to find s.
"""

import math
from dataclasses import dataclass

from domain.baking.conduction import Shape, Term, centre_ratio, confinement, terms_of

SEARCH_STEPS = 200  # bisection alone needs 60 steps, the secant about eight
SEARCH_TOLERANCE = 1e-13  # relative
NEWTON_STEPS = 50  # two or three are needed
DOUBLINGS = 200  # of the bracket: enough for any batter


@dataclass(frozen=True, slots=True, kw_only=True)
class Extent:
    """One factor of a body: a plane wall's half-thickness or a cylinder's radius."""

    shape: Shape
    half_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A batter as the product of its extents. `volume_mm3` is the volume in the real tin."""

    extents: tuple[Extent, ...]
    volume_mm3: float

    @property
    def least_half_mm(self) -> float:
        """The shortest distance from the middle to a face."""
        return min(extent.half_mm for extent in self.extents)


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdPiece:
    """A sphere in the middle of the batter, colder than the batter by `colder_by_c` at the start.

    `count` equal spheres lie in a square lattice, each with `plan_mm2` of the batter's plan. A frozen sphere is as much
    colder as its heat content is lower.
    """

    radius_mm: float
    colder_by_c: float
    count: int = 1
    plan_mm2: float = math.inf

    def neighbours(self, s_mm2: float) -> float:
        """How much all spheres together cool the middle, relative to the middle one alone.

        Args:
            s_mm2: diffusivity × time, above 0.
        Returns:
            From 1 to `count`.
        Source:
            Instantaneous point sources in a square lattice, each of which fades with exp(−distance²/4s): Conduction of
            Heat in Solids, 1959, 10.2 (from memory); the sum over a row is a theta function.
        """
        return 1.0 if self.count == 1 else min(float(self.count), _theta(self.plan_mm2 / (4 * s_mm2)) ** 2)


@dataclass(frozen=True, slots=True)
class _Factor:
    shape: Shape
    square_mm2: float
    biot: float
    terms: tuple[Term, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Heating:
    """A body that starts at a uniform `start_c` in surroundings at a constant `surroundings_c`."""

    factors: tuple[_Factor, ...]
    surroundings_c: float
    start_c: float
    piece: ColdPiece | None

    def core_c(self, s_mm2: float) -> float:
        """Temperature in the middle when diffusivity × time is `s_mm2`."""
        return self.surroundings_c - self._missing_c(s_mm2)

    def trailing(self, s_mm2: float, slowness: float) -> float:
        """The s of a piece with the batter's diffusivity that is as warm as a piece of lower diffusivity.

        Args:
            s_mm2: diffusivity × time, at least 0.
            slowness: the batter's diffusivity over the piece's, at least 1.
        Returns:
            s − lag·(1 − exp(−s/lag)), lag = radius²/6 · (slowness − 1); s itself without a piece.
        Source:
            The middle of a sphere whose surface warms steadily trails it by radius²/(6 · diffusivity):
            Conduction of Heat in Solids, 1959, 9.3 (from memory); the difference builds up as a first-order lag.
        """
        lag = self._lag_mm2(slowness)
        return s_mm2 - lag * (1 - math.exp(-s_mm2 / lag)) if lag else s_mm2

    def catching_up(self, s_mm2: float, slowness: float) -> float:
        """The inverse of `trailing`."""
        lag = self._lag_mm2(slowness)
        if not lag:
            return s_mm2
        s = s_mm2 + lag  # to the right of the root; the function is convex, so Newton converges from there
        for _ in range(NEWTON_STEPS):
            left = math.exp(-s / lag)
            step = (s - lag * (1 - left) - s_mm2) / (1 - left)
            s -= step
            if abs(step) <= SEARCH_TOLERANCE * s:
                break
        return s

    def _lag_mm2(self, slowness: float) -> float:
        return 0.0 if self.piece is None else self.piece.radius_mm**2 / 6 * (slowness - 1)

    def _missing_c(self, s_mm2: float) -> float:
        missing = self.surroundings_c - self.start_c
        if s_mm2 <= 0:
            return missing + (self.piece.colder_by_c if self.piece is not None else 0.0)
        for f in self.factors:
            missing *= centre_ratio(f.shape, f.biot, f.terms, s_mm2 / f.square_mm2)
        if self.piece is not None and self.piece.colder_by_c:
            # A sphere spreads like a point that was released earlier: both have the same mean square of distance.
            spread = s_mm2 + self.piece.radius_mm**2 / 10
            cold = self.piece.colder_by_c * sphere_left(self.piece.radius_mm, s_mm2) * self.piece.neighbours(spread)
            for f in self.factors:
                cold *= confinement(f.shape, f.terms, spread / f.square_mm2)
            missing += cold
        return missing

    def s_at(self, core_c: float) -> float:
        """Diffusivity × time, in mm², at which the middle reaches a temperature.

        Args:
            core_c: above the start and below the surroundings.
        Returns:
            s to a relative 1e-13. Equal arguments give an equal result, bit for bit.
        Source:
            The core temperature rises monotonically, so there is one solution. A bracketed secant on the logarithm
            finds it, because the logarithm is nearly linear once the first term dominates.
        """
        wanted = math.log(self.surroundings_c - core_c)
        low, high = 0.0, self._one_term_guess(core_c)
        miss_low = math.log(self._missing_c(0.0)) - wanted
        miss_high = self._miss(high, wanted)
        for _ in range(DOUBLINGS):
            if miss_high <= 0:
                break
            low, miss_low, high = high, miss_high, 2 * high
            miss_high = self._miss(high, wanted)
        return self._search(wanted, (low, miss_low), (high, miss_high))

    def _miss(self, s_mm2: float, wanted: float) -> float:
        missing = self._missing_c(s_mm2)
        return math.log(missing) - wanted if missing > 0 else -math.inf

    def _search(self, wanted: float, low: tuple[float, float], high: tuple[float, float]) -> float:
        (a, miss_a), (b, miss_b), kept = low, high, 0
        for _ in range(SEARCH_STEPS):
            if b - a <= SEARCH_TOLERANCE * b or miss_b == 0:
                break
            s = (a * miss_b - b * miss_a) / (miss_b - miss_a) if math.isfinite(miss_b) else (a + b) / 2
            s = s if a < s < b else (a + b) / 2
            miss = self._miss(s, wanted)
            if miss > 0:  # Illinois method: halve the value at the end that stays
                a, miss_a, miss_b, kept = s, miss, miss_b / 2 if kept == 1 else miss_b, 1
            else:
                b, miss_b, miss_a, kept = s, miss, miss_a / 2 if kept == -1 else miss_a, -1
        return b

    def _one_term_guess(self, core_c: float) -> float:
        share = (self.surroundings_c - core_c) / (self.surroundings_c - self.start_c)
        coefficient = math.prod(f.terms[0].coefficient for f in self.factors)
        rate = sum(f.terms[0].root ** 2 / f.square_mm2 for f in self.factors)
        return max(math.log(coefficient / share), 0.1) / rate


def heating(
    body: Body, *, film_per_mm: float, surroundings_c: float, start_c: float, piece: ColdPiece | None = None
) -> Heating:
    """Prepare the heating of a body's middle: find the roots of its series.

    Args:
        body: the batter.
        film_per_mm: film coefficient over conductivity, 1/mm, above 0; times a half-thickness it is Bi.
        surroundings_c: temperature around the surfaces, constant.
        start_c: of the whole body, below the surroundings.
        piece: a colder sphere in the middle, of the same diffusivity.
    Returns:
        The temperature of the middle as a function of time.
    """
    factors = tuple(
        _Factor(e.shape, e.half_mm**2, film_per_mm * e.half_mm, terms_of(e.shape, film_per_mm * e.half_mm))
        for e in body.extents
    )
    return Heating(factors=factors, surroundings_c=surroundings_c, start_c=start_c, piece=piece)


def sphere_left(radius_mm: float, s_mm2: float) -> float:
    """The share of a sphere's initial temperature difference that is left in its middle, in infinite space.

    Args:
        radius_mm: of the sphere.
        s_mm2: diffusivity × time, above 0.
    Returns:
        From 1 down to 0.
    Source:
        erf(z) − 2z/√π · exp(−z²), z = radius/(2√s): Conduction of Heat in Solids, 1959, 2.2 and 10.3 (from memory). In
        a batter it is multiplied by the `confinement` of each direction, which is exact for a small sphere.

    >>> round(sphere_left(10.0, 60.0), 4)
    0.1585
    """
    z = radius_mm / (2 * math.sqrt(s_mm2))
    return math.erf(z) - 2 * z / math.sqrt(math.pi) * math.exp(-z * z)


def _theta(x: float) -> float:
    """The sum of exp(−x·k²) over all whole k, by whichever of its two forms converges at once."""
    if x > math.pi:
        return 1 + 2 * math.exp(-x)
    return math.sqrt(math.pi / x) * (1 + 2 * math.exp(-(math.pi**2) / x))
