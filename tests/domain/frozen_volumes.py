"""An independent solution with heat of fusion: enthalpy of finite volumes, integrated by scipy's stiff solver.

It uses nothing of `domain`: the enthalpy curve is tabulated here and inverted by interpolation.
"""

from collections.abc import Callable
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp
from scipy.sparse import coo_matrix

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


def seconds_until(  # noqa: C901, PLR0917 - one problem, stated whole
    edges: list[Any],
    round_: bool,
    mixes: list[Mix],
    of: Any,
    start: Any,
    film: list[float],
    air: float,
    core_c: float,
    probe: Callable[[Any], float],
    most: float,
    *,
    ball: bool = False,
) -> float:
    """When the probe passes `core_c`. Axes run from the insulated middle outwards; `film` is that of each outer face.

    `of` gives the index of each cell's mix; the first axis is a radius if `round_`, and the only one, of a `ball`.
    """
    shape = tuple(len(e) - 1 for e in edges)
    index = np.arange(int(np.prod(shape))).reshape(shape)
    widths = [np.diff(e) for e in edges]
    sizes = [np.pi * np.diff(edges[0] ** 2) if round_ else widths[0], *widths[1:]]
    if ball:
        sizes = [4 / 3 * np.pi * np.diff(edges[0] ** 3)]
    volume = sizes[0]
    for size in sizes[1:]:
        volume = np.multiply.outer(volume, size)
    pairs, geometry = [], []
    faces = []
    for axis, width in enumerate(widths):
        others: Any = np.ones(())
        for position, size in enumerate(sizes):
            if position != axis:
                others = np.multiply.outer(others, size)
        others = np.expand_dims(others, axis)
        across = 2 * np.pi * edges[0][1:] if round_ and axis == 0 else np.ones(len(width))
        if ball:
            across = 4 * np.pi * edges[0][1:] ** 2
        form = [1] * len(shape)
        form[axis] = -1
        area = np.broadcast_to(others * across.reshape(form), shape)
        half = np.broadcast_to((width / 2).reshape(form), shape)
        inner = np.take(index, range(shape[axis] - 1), axis).ravel()
        beyond = np.take(index, range(1, shape[axis]), axis).ravel()
        pairs.append((inner, beyond))
        geometry.append((area.ravel()[inner], half.ravel()[inner], half.ravel()[beyond]))
        last = np.take(index, shape[axis] - 1, axis).ravel()
        faces.append((last, area.ravel()[last], half.ravel()[last], film[axis]))
    of, volume = np.asarray(of).ravel(), volume.ravel()

    def look(method: str, values: Any) -> Any:
        result = np.empty_like(values)
        for number, mix in enumerate(mixes):
            result[of == number] = getattr(mix, method)(values[of == number])
        return result

    def rate(_: float, h: Any) -> Any:
        t = look("celsius", h)
        k = look("conductivity", t)
        flow = np.zeros_like(h)
        for (a, b), (area, before, after) in zip(pairs, geometry, strict=True):
            q = area * (t[b] - t[a]) / (before / k[a] + after / k[b])
            np.add.at(flow, a, q)
            np.add.at(flow, b, -q)
        for last, area, half, coefficient in faces:
            if coefficient:
                np.add.at(flow, last, area * (air - t[last]) / (half / k[last] + 1 / coefficient))
        return flow / volume

    def passed(_: float, h: Any) -> float:
        return probe(look("celsius", h).reshape(shape)) - core_c

    passed.terminal = True  # type: ignore[attr-defined]
    rows = np.concatenate([index.ravel(), *(p for a, b in pairs for p in (a, b))])
    columns = np.concatenate([index.ravel(), *(p for a, b in pairs for p in (b, a))])
    pattern = coo_matrix((np.ones(len(rows)), (rows, columns)))
    begin = look("enthalpy", np.broadcast_to(np.asarray(start, float), shape).ravel().copy())
    solved = solve_ivp(
        rate, (0, most), begin, "BDF", events=passed, jac_sparsity=pattern, rtol=1e-5, atol=1e-5 * np.ptp(begin) + 1e3
    )
    assert solved.t_events is not None
    return float(solved.t_events[0][0])
