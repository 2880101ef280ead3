"""An independent solution with heat of fusion: enthalpy of finite volumes, integrated by scipy's stiff solver.

It uses nothing of `domain`: the enthalpy curve is tabulated here and inverted by interpolation.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import reduce
from typing import Any, Literal

import numpy as np
from scipy.integrate import solve_ivp
from scipy.sparse import coo_matrix

MAX_SECONDS = 1e6
Probe = Callable[[Any], float]  # a temperature of a body, from those of its cells
TABLE_C = np.concatenate([np.linspace(-60, -0.05, 12_000), np.linspace(0, 200, 400)])


class Mix:
    """A mix in SI units: `ice(T)` is 1 − freezing/T of the water that can freeze."""

    def __init__(  # noqa: PLR0917 - one mix
        self, c: float, k: float, c_ice: float = 0, k_ice: float = 0, freezing: float = -1, fusion: float = 0
    ) -> None:
        """Tabulate the enthalpy."""
        t = np.sort(np.append(TABLE_C, freezing))
        ice = np.where(t < freezing, 1 - freezing / np.where(t == 0, 1, t), 0) if fusion else np.zeros_like(t)
        h = np.where((t < freezing) & (fusion > 0), c_ice * (t - freezing) - fusion * ice, c * (t - freezing))
        self.t, self.h, self.k, self.ice = t, h, k + ice * (k_ice - k), ice

    def celsius(self, h: Any) -> Any:
        return np.interp(h, self.h, self.t)

    def enthalpy(self, t: Any) -> Any:
        return np.interp(t, self.t, self.h)

    def conductivity(self, t: Any) -> Any:
        return np.interp(t, self.t, self.k)


@dataclass(frozen=True, slots=True, kw_only=True)
class CellBody:
    """A body in cells between the `edges` of its axes, in metres, which run from the insulated middle outwards.

    `form` is a block, a disc (the first axis is its radius) or a ball (its only axis is its radius). `of` gives the
    index of each cell's mix.
    """

    edges: list[Any]
    form: Literal["block", "disc", "ball"]
    mixes: list[Mix]
    of: Any

    @property
    def shape(self) -> tuple[int, ...]:
        return tuple(len(edges) - 1 for edges in self.edges)

    @property
    def index(self) -> Any:
        return np.arange(int(np.prod(self.shape))).reshape(self.shape)

    @property
    def sizes(self) -> list[Any]:
        """The lengths of the cells along each axis, or the areas or volumes of the shells of a radius."""
        lengths = [np.diff(edges) for edges in self.edges]
        radius = self.edges[0]
        shells = {"block": lengths[0], "disc": np.pi * np.diff(radius**2), "ball": 4 / 3 * np.pi * np.diff(radius**3)}
        return [shells[self.form], *lengths[1:]]

    @property
    def volumes(self) -> Any:
        return reduce(np.multiply.outer, self.sizes).ravel()

    def outer_areas(self, axis: int) -> Any:
        """The area of each cell's outer face across an axis."""
        others = np.expand_dims(
            reduce(np.multiply.outer, [size for i, size in enumerate(self.sizes) if i != axis], np.ones(())), axis
        )
        radius = self.edges[axis][1:]
        rounds = {"block": np.ones(len(radius)), "disc": 2 * np.pi * radius, "ball": 4 * np.pi * radius**2}
        across = rounds[self.form if axis == 0 else "block"]
        return np.broadcast_to(others * self.along(axis, across), self.shape)

    def along(self, axis: int, values: Any) -> Any:
        form = [1] * len(self.shape)
        form[axis] = -1
        return values.reshape(form)

    def of_cells(self, method: str, values: Any) -> Any:
        """A method of each cell's mix at its value."""
        result, of = np.empty_like(values), np.asarray(self.of).ravel()
        for number, mix in enumerate(self.mixes):
            result[of == number] = getattr(mix, method)(values[of == number])
        return result


@dataclass(frozen=True, slots=True, kw_only=True)
class Faces:
    """Faces across one axis: the cells on both sides, the areas, and the distances from the cells' middles."""

    inner: Any
    outer: Any
    area: Any
    before: Any
    after: Any


def _inner_faces(body: CellBody, axis: int) -> Faces:
    count, area, half = body.shape[axis], body.outer_areas(axis).ravel(), _half_widths(body, axis)
    inner = np.take(body.index, range(count - 1), axis).ravel()
    outer = np.take(body.index, range(1, count), axis).ravel()
    return Faces(inner=inner, outer=outer, area=area[inner], before=half[inner], after=half[outer])


def _half_widths(body: CellBody, axis: int) -> Any:
    return np.broadcast_to(body.along(axis, np.diff(body.edges[axis]) / 2), body.shape).ravel()


def _middle(celsius: Any) -> float:
    return float(celsius.ravel()[0])


def seconds_until(
    core_c: float, body: CellBody, start_c: Any, *, air_c: float, film: list[float], probe: Probe = _middle
) -> float:
    """When the probe, by default the middle of the body, passes `core_c`.

    `film` is that of the outer face of each axis, in W/(m² K); 0 for an insulated one.
    """
    axes = range(len(body.shape))
    inner_faces = [_inner_faces(body, axis) for axis in axes]
    last_cells = [np.take(body.index, body.shape[axis] - 1, axis).ravel() for axis in axes]
    areas, halves = [body.outer_areas(axis).ravel() for axis in axes], [_half_widths(body, axis) for axis in axes]
    volumes = body.volumes

    def rate(_: float, h: Any) -> Any:
        t = body.of_cells("celsius", h)
        k = body.of_cells("conductivity", t)
        flow = np.zeros_like(h)
        for faces in inner_faces:
            a, b = faces.inner, faces.outer
            q = faces.area * (t[b] - t[a]) / (faces.before / k[a] + faces.after / k[b])
            np.add.at(flow, a, q)
            np.add.at(flow, b, -q)
        for last, area, half, coefficient in zip(last_cells, areas, halves, film, strict=True):
            if coefficient:
                np.add.at(flow, last, area[last] * (air_c - t[last]) / (half[last] / k[last] + 1 / coefficient))
        return flow / volumes

    def passed(_: float, h: Any) -> float:
        return probe(body.of_cells("celsius", h).reshape(body.shape)) - core_c

    passed.terminal = True  # type: ignore[attr-defined]
    begin = body.of_cells("enthalpy", np.broadcast_to(np.asarray(start_c, float), body.shape).ravel().copy())
    tolerance = 1e-5 * np.ptp(begin) + 1e3
    pattern = _neighbours(body, inner_faces)
    solved = solve_ivp(
        rate, (0, MAX_SECONDS), begin, "BDF", events=passed, jac_sparsity=pattern, rtol=1e-5, atol=tolerance
    )
    assert solved.t_events is not None
    return float(solved.t_events[0][0])


def _neighbours(body: CellBody, inner_faces: list[Faces]) -> Any:
    """Which cells' temperatures each cell's rate depends on: its own and those of its neighbours."""
    rows = np.concatenate([body.index.ravel(), *(side for each in inner_faces for side in (each.inner, each.outer))])
    columns = np.concatenate([body.index.ravel(), *(side for each in inner_faces for side in (each.outer, each.inner))])
    return coo_matrix((np.ones(len(rows)), (rows, columns)))
