"""The least spread by an independent solver: a cone program on the same mesh, solved by Clarabel."""

import clarabel
import numpy as np
import pytest
from scipy.sparse import bmat, coo_array, csc_matrix, diags, hstack, vstack
from unwrap_shapes import calf, cap, hyperbolic_like

from flatten.mesh.gradient import face_gradients
from flatten.unwrap.disk import flatten_disk
from flatten.unwrap.model import Limits

CASED = Limits(0.05, 0.05, 0.03, 0.03, "given")


def linear_parts(mesh) -> tuple[coo_array, coo_array]:
    """Real matrices (2F,2V) of the turning and the stretching part of a map, real rows above imaginary ones.

    p = Σ z conj(hat) / 2 and q = Σ z hat / 2 over the corners of a face.
    """
    gradients = face_gradients(mesh)
    rows = np.tile(np.arange(len(mesh.faces)), 3)
    columns = mesh.faces.T.ravel()
    out = []
    for hat in (gradients.hats.conj().ravel() / 2, gradients.hats.ravel() / 2):
        part = coo_array((hat, (rows, columns)), shape=(len(mesh.faces), len(mesh.vertices))).tocsr()
        real, imaginary = part.real, part.imag
        out.append(bmat([[real, -imaginary], [imaginary, real]]).tocsr())
    return out[0], out[1]


def least_ratio(mesh, flat: np.ndarray, *, rounds: int = 4) -> float:
    """log of the least ratio of greatest to least singular value, from a map (V,2), by cone programs.

    With each face's turn r held at the last map's, |p| + |q| ≤ s and Re(conj(r) p) − |q| ≥ 1 are second-order cones
    in the map and s (Lipman 2012, "Bounded distortion mapping spaces for triangular meshes", sec. 3); s falls from
    round to round, as the last map stays inside.
    """
    p, q = linear_parts(mesh)
    faces, count = len(mesh.faces), len(mesh.vertices)
    unknowns = 2 * count + faces + 1
    aux = csc_matrix((np.ones(faces), (np.arange(faces), 2 * count + np.arange(faces))), shape=(faces, unknowns))
    top = csc_matrix((np.ones(faces), (np.arange(faces), np.full(faces, unknowns - 1))), shape=(faces, unknowns))
    pad = csc_matrix((2 * faces, faces + 1))
    p, q = hstack([p, pad]).tocsr(), hstack([q, pad]).tocsr()
    x = np.concatenate([flat[:, 0], flat[:, 1]])
    ratio = np.inf
    for _ in range(rounds):
        turn = p[:, : 2 * count] @ x
        turn = turn[:faces] + 1j * turn[faces:]
        turn /= np.abs(turn)
        along = diags(turn.real) @ p[:faces] + diags(turn.imag) @ p[faces:]
        heads = [aux, top - aux, along]
        tails = [p, q, q]
        order = np.arange(3 * faces).reshape(3, faces).T.ravel()
        blocks = [vstack([head, tail]).tocsr()[order] for head, tail in zip(heads, tails, strict=True)]
        offsets = [np.zeros(3 * faces), np.zeros(3 * faces), np.tile([-1.0, 0, 0], faces)]
        goal = np.zeros(unknowns)
        goal[-1] = 1.0
        settings = clarabel.DefaultSettings()
        settings.verbose = False
        solver = clarabel.DefaultSolver(
            csc_matrix((unknowns, unknowns)),
            goal,
            csc_matrix(-vstack(blocks)),
            np.concatenate(offsets),
            [clarabel.SecondOrderConeT(3)] * (3 * faces),
            settings,
        )
        solution = solver.solve()
        assert str(solution.status) in ("Solved", "AlmostSolved")
        x = np.array(solution.x)[: 2 * count]
        ratio = solution.x[-1]
    return float(np.log(ratio))


@pytest.mark.parametrize(
    "mesh", [calf(20.0).mesh, cap(150, np.radians(50.0)), hyperbolic_like(150, bend=0.4)], ids=["calf", "cap", "saddle"]
)
def test_the_least_spread_is_the_cone_programs(mesh):
    flat = flatten_disk(mesh, limits=CASED)
    wanted = least_ratio(mesh, flatten_disk(mesh).uv)
    assert flat.spread_reachable == pytest.approx(wanted, rel=2e-3)
    # The cone program's optimum is a map that exists, up to its own tolerance.
    assert flat.spread_reachable > wanted * (1 - 1e-5)


@pytest.mark.full
def test_the_least_spread_of_a_finer_calf_is_the_cone_programs():
    mesh = calf(9.0).mesh
    flat = flatten_disk(mesh, limits=CASED)
    assert flat.spread_reachable == pytest.approx(least_ratio(mesh, flatten_disk(mesh).uv), rel=2e-3)
