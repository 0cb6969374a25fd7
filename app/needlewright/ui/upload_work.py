"""Putting an instrument's table into its board."""

from __future__ import annotations

from gaugecore.board.board import Board
from gaugecore.board.session import check_channel
from gaugecore.panel.board_table import board_table
from gaugecore.panel.document import Instrument, Panel
from gaugecore.panel.needle_of import channel_of, check_kind, port_for
from needlewright.ui.translation import translate


def uploaded(panel: Panel, instrument: Instrument, url: str, max_error: float) -> str:
    """Store the table of an instrument in the board on a port; return what was done, for people.

    Raises
    ------
    NeedlewrightError
        If there is no fit, no board, or no room.
    """
    channel = channel_of(panel, instrument)
    with Board.open(port_for(url, panel)) as board:
        check_channel(board, channel)
        check_kind(instrument, board.limits(channel).kind, channel=channel)
        capacity = board.slot(channel).capacity
        made = board_table(instrument, max_error=max_error, capacity=capacity)
        slot = board.upload(channel, made.stored)
        name = board.identity.name
    size = len(made.stored.to_bytes())
    return translate("upload_work", "{0} is in slot {1} of channel {2} on {3}: {4} of {5} bytes.").format(
        instrument.id, slot, channel, name, size, capacity
    )
