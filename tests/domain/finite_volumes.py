"""An independent solution of heat conduction: finite volumes on a grid, stepped exactly in time by scipy.

It uses nothing from `domain`: heat is conserved cell by cell, with a film at the outer face, and there is no series.
"""

from typing import Any

import numpy as np
import scipy.sparse as sp
from scipy.linalg import expm
from scipy.sparse.linalg import expm_multiply


def axis(kind: str, half: float, film: float, cells: int, inner: float = 0.0) -> tuple[Any, Any]:
    """The rate matrix and the cells' midpoints in one direction. Film coefficients are divided by the conductivity.

    `kind` is slab, cylinder or sphere. With `inner` above 0 it is a hollow cylinder with a film on both faces.
    """
    faces = np.linspace(inner, half, cells + 1)
    power = {"slab": 0, "cylinder": 1, "sphere": 2}[kind]
    area = faces**power
    volume = (faces[1:] ** (power + 1) - faces[:-1] ** (power + 1)) / (power + 1)
    width = (half - inner) / cells
    between = area[1:-1] / width
    # Half a cell of conduction and the film, in series.
    outer = area[-1] / (width / 2 + 1 / film) if np.isfinite(film) else area[-1] / (width / 2)
    inside = area[0] / (width / 2 + 1 / film) if inner > 0 else 0.0
    main = np.zeros(cells)
    main[:-1] -= between
    main[1:] -= between
    main[-1] -= outer
    main[0] -= inside
    matrix = sp.diags([between / volume[1:], main / volume, between / volume[:-1]], [-1, 0, 1])
    return sp.csr_matrix(matrix), (faces[1:] + faces[:-1]) / 2


def left(matrices: list[Any], s: float, start: Any = None) -> Any:
    """The share of the initial difference that remains after diffusivity · time `s`, on the grid of all directions."""
    sizes = [matrix.shape[0] for matrix in matrices]
    whole = sp.csr_matrix((int(np.prod(sizes)),) * 2)
    for position, matrix in enumerate(matrices):
        before, after = int(np.prod(sizes[:position])), int(np.prod(sizes[position + 1 :]))
        whole = whole + sp.kron(sp.kron(sp.identity(before), matrix), sp.identity(after))
    field = np.ones(sizes) if start is None else start
    if len(sizes) == 1:
        return expm(whole.toarray() * s) @ field
    return expm_multiply(whole * s, field.ravel()).reshape(sizes)


def at_centre(field: Any) -> float:
    """The value on the axis of symmetry, from the parabola through the two nearest cells in every direction."""
    while np.ndim(field):
        field = (9 * field[0] - field[1]) / 8
    return float(field)
