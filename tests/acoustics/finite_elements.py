"""The axisymmetric Helmholtz equation in a rigid cylinder without losses, by scikit-fem: quadratic quadrilaterals.

Independent of the modal cavity and of the finite volumes beside it: a uniform velocity over part of one end wall, the
mean pressure over part of either end wall. The mesh is graded towards the edges of inlet and microphone, where the
field is singular.
"""

from itertools import pairwise

import numpy as np
from scipy.sparse.linalg import splu
from skfem import Basis, BilinearForm, ElementQuad2, FacetBasis, LinearForm, MeshQuad, asm


def _graded(length, cells):
    return length * (0.5 - 0.5 * np.cos(np.pi * np.arange(cells) / cells))


def _mesh(radius_m, length_m, marks_m, cells):
    edges = sorted({0.0, *marks_m, radius_m})
    radial = [
        low + _graded(high - low, max(int(np.ceil((high - low) / radius_m * cells)), 2))
        for low, high in pairwise(edges)
    ]
    axial = np.append(_graded(length_m, max(int(length_m / radius_m * cells), 6)), length_m)
    return MeshQuad.init_tensor(np.append(np.concatenate(radial), radius_m), axial)


def impedances(frequency_hz, radius_m, length_m, inlet_m, microphone_m, density, speed, cells=16):
    """Input impedance at the inlet piston and transfer impedance to the microphone, each (n,)."""
    mesh, element = _mesh(radius_m, length_m, (inlet_m, microphone_m), cells), ElementQuad2()
    tiny = 1e-9
    inlet = mesh.facets_satisfying(lambda x: (x[1] < tiny) & (x[0] < inlet_m))
    heard = mesh.facets_satisfying(lambda x: (x[1] > length_m - tiny) & (x[0] < microphone_m))
    inside = Basis(mesh, element)
    stiffness = asm(
        BilinearForm(lambda u, v, w: (u.grad[0] * v.grad[0] + u.grad[1] * v.grad[1]) * 2 * np.pi * w.x[0]), inside
    )
    mass = asm(BilinearForm(lambda u, v, w: u * v * 2 * np.pi * w.x[0]), inside)
    over = LinearForm(lambda v, w: v * 2 * np.pi * w.x[0])
    mean_inlet = asm(over, FacetBasis(mesh, element, facets=inlet)) / (np.pi * inlet_m**2)
    mean_heard = asm(over, FacetBasis(mesh, element, facets=heard)) / (np.pi * microphone_m**2)
    z = np.empty((2, len(frequency_hz)), complex)
    for i, omega in enumerate(2 * np.pi * np.asarray(frequency_hz)):
        per_flow = splu((stiffness - (omega / speed) ** 2 * mass).tocsc()).solve(mean_inlet)
        z[:, i] = 1j * omega * density * np.array([mean_inlet @ per_flow, mean_heard @ per_flow])
    return z
