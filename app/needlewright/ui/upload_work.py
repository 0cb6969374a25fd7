"""Putting an instrument's table into its board."""

from __future__ import annotations

from gaugecore.board.board import Board
from gaugecore.panel.document import Instrument, Panel
from gaugecore.panel.needle_of import channel_of, port_for
from needlewright.upload_job import UploadJob, upload


def uploaded(panel: Panel, instrument: Instrument, url: str, job: UploadJob) -> str:
    """Store the table of an instrument in the board on a port; return what was done, for people.

    Raises
    ------
    NeedlewrightError
        If there is no fit, no board, or no room.
    """
    with Board.open(port_for(url, panel)) as board:
        done = upload(board, instrument, channel_of(panel, instrument), job)
        name = board.identity.name
    words = (
        f"{done.instrument} is in slot {done.slot} of channel {done.channel} on {name}: "
        f"{done.bytes} of {done.capacity} bytes."
    )
    return f"{words} Caution: {done.caution}." if done.caution else words
