"""A small finite-volume solver of the axisymmetric Helmholtz equation in a rigid cylinder, without losses.

Independent of the modal cavity: cells in r and x, a uniform velocity over part of one end wall, the mean
pressure over part of either end wall.
"""

import numpy as np
from scipy.sparse import coo_matrix, diags, identity, kron
from scipy.sparse.linalg import splu


def _second_difference(cells, step):
    """Finite-volume Laplacian between rigid walls, one dimension."""
    main = np.full(cells, -2.0)
    main[0] = main[-1] = -1.0
    off = np.ones(cells - 1)
    return diags([off, main, off], [-1, 0, 1]) / step**2


def _radial(cells, step):
    """(1/r) d/dr (r dp/dr) between the axis and a rigid wall."""
    inner = step * np.arange(1, cells)  # radius of the faces between cells
    centre = step * (np.arange(cells) + 0.5)
    up = inner / (centre[:-1] * step**2)
    down = inner / (centre[1:] * step**2)
    main = np.zeros(cells)
    main[:-1] -= up
    main[1:] -= down
    return diags([down, main, up], [-1, 0, 1])


def impedances(frequency_hz, radius_m, length_m, inlet_m, microphone_m, density, speed, cells):
    """Input impedance at the inlet piston and transfer impedance to the microphone, one frequency.

    `cells` radial cells; inlet and microphone radius have to fall on cell faces.
    """
    step = radius_m / cells
    along = round(length_m / step)
    step_x = length_m / along
    omega = 2 * np.pi * frequency_hz
    laplace = kron(identity(along), _radial(cells, step)) + kron(_second_difference(along, step_x), identity(cells))
    ring = np.pi * step**2 * (2 * np.arange(cells) + 1)
    inside = np.arange(cells) < round(inlet_m / step)
    heard = np.arange(cells) < round(microphone_m / step)
    # unit volume velocity: -dp/dx = jωρ u on the inlet, per cell of the first layer
    velocity = inside / ring[inside].sum()
    drive = np.zeros((along, cells), complex)
    drive[0] = -1j * omega * density * velocity / step_x
    system = (laplace + (omega / speed) ** 2 * identity(along * cells)).tocsc()
    pressure = splu(coo_matrix(system, dtype=complex).tocsc()).solve(drive.ravel()).reshape(along, cells)
    # wall pressure: half a cell beyond the centre of the first layer, by the known gradient
    at_inlet = pressure[0] + 0.5 * step_x * 1j * omega * density * velocity
    mean_inlet = (at_inlet * ring)[inside].sum() / ring[inside].sum()
    mean_microphone = (pressure[-1] * ring)[heard].sum() / ring[heard].sum()
    return mean_inlet, mean_microphone


def extrapolated(cells, **arguments):
    """Both impedances for an ever finer grid, from two grids (second order)."""
    coarse = np.array(impedances(cells=cells, **arguments))
    fine = np.array(impedances(cells=2 * cells, **arguments))
    return (4 * fine - coarse) / 3
