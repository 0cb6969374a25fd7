"""A recording, read for one instrument: times and the dial angles wanted at them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from gaugecore.errors import InputError
from gaugecore.feed.recording import TIME, read_recording
from gaugecore.panel.document import Instrument
from gaugecore.panel.raw_values import angles_of_raw


def read_trace(path: Path, instrument: Instrument) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return rising times in seconds and dial angles, each of shape (n,); rows without a value are left out.

    Raises
    ------
    InputError
        If the file cannot be read, or has no column for the instrument.
    """
    recording = read_recording(path)
    wanted = instrument.raw.field or instrument.id
    if wanted not in recording.names:
        raise InputError(
            "the recording has no column for the instrument",
            where=str(path),
            found=", ".join((TIME, *recording.names)),
            accepted=wanted,
        )
    column = recording.names.index(wanted)
    times_s = np.array(recording.times_s)
    raws = np.array([row[column] for row in recording.rows])
    given = ~np.isnan(raws)
    times_s, raws = times_s[given], raws[given]
    # of rows at the same time the last one counts, as it does live
    last = np.append(np.diff(times_s) > 0.0, True)[: times_s.size]
    return times_s[last], angles_of_raw(instrument, raws[last])
