"""A slow twin for closed forms: plane frames of straight bars, solved by finite elements."""

import numpy as np
import pytest


def _bar(length, bending, axial):
    """Stiffness of a bar along x: (u, v, θ) at either end."""
    a, b = axial / length, bending / length**3
    return np.array(
        [
            [a, 0, 0, -a, 0, 0],
            [0, 12 * b, 6 * b * length, 0, -12 * b, 6 * b * length],
            [0, 6 * b * length, 4 * b * length**2, 0, -6 * b * length, 2 * b * length**2],
            [-a, 0, 0, a, 0, 0],
            [0, -12 * b, -6 * b * length, 0, 12 * b, -6 * b * length],
            [0, 6 * b * length, 2 * b * length**2, 0, -6 * b * length, 4 * b * length**2],
        ]
    )


def solve(nodes, bars, held, forces, springs=(), axial=1e9, ties=()):
    """Displacements (u, v, θ) of every node.

    bars: (node, node, bending stiffness). held: (node, direction). forces: {(node, direction): F}.
    springs: (node, node or None for the ground, stiffness) between the angles of two nodes.
    ties: (node, node, stiffness) between the places of two nodes.
    """
    count = 3 * len(nodes)
    stiffness = np.zeros((count, count))
    for i, j, bending in bars:
        (x1, y1), (x2, y2) = nodes[i], nodes[j]
        length = np.hypot(x2 - x1, y2 - y1)
        c, s = (x2 - x1) / length, (y2 - y1) / length
        turn = np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]])
        turned = np.block([[turn, np.zeros((3, 3))], [np.zeros((3, 3)), turn]])
        places = [3 * i, 3 * i + 1, 3 * i + 2, 3 * j, 3 * j + 1, 3 * j + 2]
        stiffness[np.ix_(places, places)] += turned.T @ _bar(length, bending, axial) @ turned
    for i, j, spring in springs:
        stiffness[3 * i + 2, 3 * i + 2] += spring
        if j is not None:
            stiffness[3 * j + 2, 3 * j + 2] += spring
            stiffness[3 * i + 2, 3 * j + 2] -= spring
            stiffness[3 * j + 2, 3 * i + 2] -= spring
    for i, j, tie in ties:
        for d in (0, 1):
            stiffness[3 * i + d, 3 * i + d] += tie
            stiffness[3 * j + d, 3 * j + d] += tie
            stiffness[3 * i + d, 3 * j + d] -= tie
            stiffness[3 * j + d, 3 * i + d] -= tie
    load = np.zeros(count)
    for (node, direction), force in forces.items():
        load[3 * node + direction] += force
    fixed = {3 * node + direction for node, direction in held}
    free = [k for k in range(count) if k not in fixed]
    moved = np.zeros(count)
    moved[free] = np.linalg.solve(stiffness[np.ix_(free, free)], load[free])
    return moved.reshape(-1, 3)


@pytest.fixture(scope="session")
def plane_frame():
    """Bars that bend and stretch between nodes; a node may be held by springs against turning."""
    return solve
