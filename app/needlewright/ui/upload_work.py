"""Putting an instrument's table into its board."""

from __future__ import annotations

from gaugecore.board.board import Board
from gaugecore.panel.document import Instrument, Panel
from gaugecore.panel.needle_of import channel_of, port_for
from needlewright.ui.called_off import CalledOff, Cancelled, Progress, never, nobody
from needlewright.ui.translation import translate
from needlewright.upload_job import UploadJob, upload


def uploaded(
    panel: Panel,
    instrument: Instrument,
    url: str,
    job: UploadJob,
    *,
    progress: Progress = nobody,
    called_off: CalledOff = never,
) -> str:
    """Store the table of an instrument in the board on a port; return what was done, for people.

    Raises
    ------
    Cancelled
        If it was called off; the board keeps the table it had.
    NeedlewrightError
        If there is no fit, no board, or no room.
    """

    def go_on(done: int, of: int) -> None:
        if called_off():
            raise Cancelled(translate("upload_work", "called off; the board keeps the table it had"))
        progress(done, of, translate("upload_work", "bytes"))

    go_on(0, 0)
    with Board.open(port_for(url, panel)) as board:
        go_on(0, 0)
        done = upload(board, instrument, channel_of(panel, instrument), job, progress=go_on)
        name = board.identity.name
    words = translate("upload_work", "{0} is in slot {1} of channel {2} on {3}: {4} of {5} bytes.").format(
        done.instrument, done.slot, done.channel, name, done.bytes, done.capacity
    )
    caution = translate("upload_work", "Caution: {0}.").format(done.caution)
    return f"{words} {caution}" if done.caution else words
