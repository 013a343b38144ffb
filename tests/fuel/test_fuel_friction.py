"""Friction, fitting and blockage laws against published figures and the fluids library."""

from __future__ import annotations

import numpy as np
import pytest
from fuel.fuel_kit import GPH
from hypothesis import given
from hypothesis import strategies as st

from diagnose.fuel.friction import (
    ROUGHNESS,
    Piece,
    blockage_loss,
    churchill,
    mesh_loss,
    table_runs,
)
from diagnose.fuel.properties import PSI

RHO, NU = np.array([[720.0]]), np.array([[0.6e-6]])


def flow(pieces: list[Piece], drop: float, extra: float = 0.0) -> float:
    """Return the flow of one run under one drop."""
    tables = table_runs([pieces])
    q, _ = tables.flow(np.array([[drop]]), np.array([[extra]]), RHO, NU)
    return float(q[0, 0])


def test_churchill_agrees_with_laminar_flow_and_colebrook() -> None:
    """64/Re at Re 1 000; within 1 % of Colebrook's 0.03295 and 0.02217 (worked independently)."""
    assert float(churchill(1000.0, 0.0)) == pytest.approx(0.064, rel=1e-3)
    assert float(churchill(8000.0, 1.2e-4)) == pytest.approx(0.03295, rel=0.01)
    assert float(churchill(1e5, 1e-3)) == pytest.approx(0.02217, rel=0.01)


@pytest.mark.parametrize("reynolds", [500.0, 1500.0, 3000.0, 5650.0, 11300.0, 14000.0, 1e6])
@pytest.mark.parametrize("rough", [0.0, 1.2e-4, 1e-3])
def test_churchill_agrees_with_the_fluids_library(reynolds: float, rough: float) -> None:
    """The vectorised law is the Churchill 1977 law of the fluids package."""
    friction = pytest.importorskip("fluids.friction")
    theirs = friction.Churchill_1977(reynolds, rough)
    assert float(churchill(reynolds, rough)) == pytest.approx(theirs, rel=2e-3)


@pytest.mark.parametrize(
    ("gallons", "bore", "length", "loss", "psi"),
    [(20, 7.9, 3, 5, 0.18), (40, 7.9, 3, 5, 0.63), (40, 11.1, 3, 5, 0.14),
     (100, 15.9, 5, 10, 0.28)],
)  # fmt: skip
def test_drop_of_fuel_lines_agrees_with_worked_values(
    gallons: float, bore: float, length: float, loss: float, psi: float
) -> None:
    """Drops worked independently with Swamee-Jain for 720 kg/m3, 0.6 mm2/s, drawn tube."""
    got = flow([Piece("line", bore * 1e-3, length, loss)], psi * PSI) / GPH
    assert got == pytest.approx(gallons, rel=0.03)


def test_drop_of_a_line_agrees_with_the_fluids_library() -> None:
    """Flow through a 7.9 mm line balances the drop that fluids works out for it."""
    fluids = pytest.importorskip("fluids")
    q = flow([Piece("line", 0.0079, 3.0, 5.0)], 4000.0)
    speed = q / (0.25 * np.pi * 0.0079**2)
    reynolds = speed * 0.0079 / 0.6e-6
    friction = fluids.friction_factor(reynolds, ROUGHNESS / 0.0079, Method="Churchill_1977")
    k = fluids.K_from_f(friction, 3.0, 0.0079) + 5.0
    assert fluids.dP_from_K(k, 720.0, speed) == pytest.approx(4000.0, rel=1e-4)


@pytest.mark.parametrize("part_open", [0.7, 0.5, 0.2, 0.05])
def test_blockage_loss_agrees_with_an_orifice_plate_of_the_fluids_library(
    part_open: float,
) -> None:
    """A hole of part of the area loses, in velocity, what a thin orifice plate does within 12 %."""
    meter = pytest.importorskip("fluids.flow_meter")
    # discharge coefficient 0.61 of a thin plate; the library turns it into a permanent loss
    theirs = meter.discharge_coefficient_to_K(D=1.0, Do=np.sqrt(part_open), C=0.61)
    ours = float(blockage_loss(part_open))
    assert np.sqrt(1.0 + ours) == pytest.approx(np.sqrt(1.0 + theirs), rel=0.12)


def test_a_clear_piece_adds_nothing_and_a_shut_one_stops_the_flow() -> None:
    """Blockage runs from no loss at all to a flow too small to see."""
    piece = Piece("hose", 0.010, 1.0, 2.0)
    assert float(blockage_loss(1.0)) == 0.0
    assert piece.added_loss(1.0) == 0.0
    open_flow = flow([piece], 1e4)
    assert flow([piece], 1e4, piece.added_loss(0.0)) < 1e-4 * open_flow


def test_a_strainer_passes_its_flow_factor_at_one_psi() -> None:
    """The clean element passes the stated flow at 1 psi of 720 kg/m3 fuel (its definition)."""
    stated = 100.0 * GPH
    element = Piece("strainer", 0.02, loss=mesh_loss(stated, 0.02), mesh=True)
    assert flow([element], PSI) == pytest.approx(stated, rel=1e-4)
    # a mesh with 30 % of its area left passes 30 % of the flow
    assert flow([element], PSI, element.added_loss(0.3)) == pytest.approx(0.3 * stated, rel=1e-4)


def test_pieces_in_series_drop_what_they_drop_alone() -> None:
    """At one flow the drop of a run is the sum of the drops of its pieces."""
    pieces = [Piece("a", 0.010, 2.0, 3.0), Piece("b", 0.0079, 1.0, 1.0)]
    q = flow(pieces, 5000.0)
    total = 0.0
    for piece in pieces:
        low, high = 1.0, 1e5
        for _ in range(60):
            middle = 0.5 * (low + high)
            low, high = (middle, high) if flow([piece], middle) < q else (low, middle)
        total += low
    assert total == pytest.approx(5000.0, rel=1e-3)


@given(
    st.floats(-2e5, 2e5),
    st.floats(0.003, 0.04),
    st.floats(0.0, 5.0),
    st.floats(0.0, 20.0),
    st.floats(0.02, 1.0),
)
def test_flow_is_odd_in_the_drop_with_a_slope_that_is_its_derivative(
    drop: float, bore: float, length: float, loss: float, part_open: float
) -> None:
    """Reversing the drop reverses the flow, and the slope agrees with a small difference."""
    piece = Piece("line", bore, length, loss)
    tables = table_runs([[piece]])
    extra = np.full((1, 3), piece.added_loss(part_open))[:, :1]

    def at(x: float) -> tuple[float, float]:
        q, slope = tables.flow(np.array([[x]]), extra, RHO, NU)
        return float(q[0, 0]), float(slope[0, 0])

    q, slope = at(drop)
    assert at(-drop)[0] == pytest.approx(-q, abs=1e-15)
    step = max(1e-3 * abs(drop), 0.05)
    difference = (at(drop + step)[0] - at(drop - step)[0]) / (2.0 * step)
    assert slope > 0.0
    assert slope == pytest.approx(difference, rel=2e-2)
