"""The table a board stores says what the fit says."""

import numpy as np
import pytest

from gaugecore.board.board import Board
from gaugecore.calibration.readings import Direction
from gaugecore.errors import FitError, TableError
from gaugecore.face.scale import PiecewiseScale
from gaugecore.panel.board_table import board_table
from gaugecore.panel.document import Calibration, RawInput, Session
from gaugecore.panel.raw_values import angles_of_raw
from tests.board.boards import on_memory
from tests.panel.test_driver import a_fit, an_instrument


def bent_instrument(**raw):
    """A drive with a bend and a dial that is dense at one end."""
    base = an_instrument()
    fit = a_fit()
    angles = np.asarray(fit.knots.angle_deg)
    bend = 25.0 * np.sin(angles / 30.0)
    knots = fit.knots.model_copy(
        update={
            "command_up": tuple(np.asarray(fit.knots.command_up) + bend),
            "command_down": tuple(np.asarray(fit.knots.command_down) + bend),
        }
    )
    scale = PiecewiseScale(points=((0.0, -75.0), (20.0, 0.0), (100.0, 75.0)))
    return base.model_copy(
        update={
            "raw": RawInput(**({"low": 0, "high": 65535, "low_value": 0.0, "high_value": 100.0} | raw)),
            "face": base.face.model_copy(update={"scale": scale}),
            "calibration": Calibration(sessions=(Session(fit=fit.model_copy(update={"knots": knots})),)),
        }
    )


@pytest.mark.parametrize("capacity", [2048, 110])
@pytest.mark.parametrize("turned", [False, True])
def test_every_raw_value_is_within_the_stated_error_of_the_fit(capacity, turned):
    values = {"low_value": 100.0, "high_value": 0.0} if turned else {}
    instrument = bent_instrument(**values)
    made = board_table(instrument, max_error=1.0, capacity=capacity)
    assert len(made.stored.to_bytes()) <= capacity
    assert made.worst_error <= (1.0 if capacity > 200 else 8.0)
    fit = instrument.calibration.fit
    assert fit is not None
    raws = np.arange(0, 65536, 7)
    for falls in (False, True):
        side = Direction.DOWN if falls != turned else Direction.UP
        wanted = fit.commands(angles_of_raw(instrument, raws), side)
        # judged by the plain-Python arithmetic of the stored table, not by what made it
        sent = np.array([made.stored.command(int(raw), falls=falls) for raw in raws]) / 2
        assert np.abs(sent - wanted).max() <= made.worst_error + 1e-9


def test_the_board_drives_by_it():
    instrument = bent_instrument()
    made = board_table(instrument)
    with on_memory("pace=1000") as link:
        board = Board(link)
        board.set_limits(0, 600, 2400)
        assert board.slot(0).capacity >= len(made.stored.to_bytes())
        board.upload(0, made.stored)
        for raw in (0, 20_000, 65_535, 30_000):
            board.raw(0, raw)
            falls = raw == 30_000
            assert board.status(0).command == made.stored.command(raw, falls=falls) / 2


@pytest.mark.parametrize(
    ("instrument", "error", "message"),
    [
        (an_instrument(fit=False), FitError, "no fit yet"),
        (bent_instrument(low=-5), TableError, "16 bits, found '-5 to 65535'"),
        (bent_instrument(high=70_000), TableError, "16 bits"),
    ],
)
def test_what_has_no_table_is_refused(instrument, error, message):
    with pytest.raises(error, match=message):
        board_table(instrument)


def test_a_slot_that_is_too_small_is_said_so():
    with pytest.raises(TableError, match="no table of this dial fits"):
        board_table(bent_instrument(), capacity=16)
