"""A recording: a CSV file with a ``time_s`` column, and one column a name; made here, and played."""

from __future__ import annotations

import contextlib
import csv
import errno
import io
import math
import os
import time
from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from gaugecore.errors import InputError, OutputError
from gaugecore.feed.feed import Arrival, Feed, FeedCounters
from gaugecore.files import read_at_most

TIME = "time_s"
LARGEST_BYTES = 20_000_000
#: An hour of five values at 50 Hz.
MOST_CELLS = 1_000_000
MOST_COLUMNS = 1000


@dataclass(frozen=True, slots=True)
class Recording:
    """Rows over time.

    Attributes
    ----------
    names : tuple of str
        Of the columns besides the time.
    times_s : tuple of float
        Never falling.
    rows : tuple of tuple of float
        Values by row and column; NaN where the cell is empty.
    """

    names: tuple[str, ...]
    times_s: tuple[float, ...]
    rows: tuple[tuple[float, ...], ...]

    @property
    def length_s(self) -> float:
        """Return the time from the first row to the last."""
        return self.times_s[-1] - self.times_s[0]


def read_recording(path: Path) -> Recording:
    """Return the recording in a file.

    Raises
    ------
    InputError
        If it cannot be read; says which row and column.
    """
    where = str(path)
    try:
        content = read_at_most(path, LARGEST_BYTES)
        if content is None:
            raise InputError(
                "the recording is too large", where=where, accepted=f"at most {LARGEST_BYTES // 1_000_000} MB"
            )
        text = content.decode("utf-8-sig")
    except OSError as error:
        raise InputError(f"cannot read the recording ({error.strerror or error})", where=where) from error
    except UnicodeDecodeError as error:
        raise InputError("the recording is not UTF-8 text", where=where) from error
    return parse_recording(text, where=where)


def parse_recording(text: str, *, where: str) -> Recording:
    r"""Return the recording in a text.

    Raises
    ------
    InputError
        If it is none; says which row and column.

    Examples
    --------
    >>> parse_recording("time_s,fuel\n0,10\n1.5,\n", where="x.csv").times_s
    (0.0, 1.5)
    """
    lines = _lines(text, where=where)
    header = [name.strip() for name in next(lines, [])]
    if (
        header.count(TIME) != 1
        or not 2 <= len(header) <= MOST_COLUMNS
        or len(set(header)) != len(header)
        or "" in header
    ):
        raise InputError(
            "the recording's header",
            where=where,
            found=",".join(header[:20]) or None,
            accepted=f"{TIME},NAME,... up to {MOST_COLUMNS} columns, each once",
        )
    at = header.index(TIME)
    times: list[float] = []
    rows: list[tuple[float, ...]] = []
    for number, cells in enumerate(lines, start=1):
        if number * len(header) > MOST_CELLS:
            raise InputError(
                "the recording is too long", where=where, accepted=f"at most {MOST_CELLS:,} values in all"
            )
        values = _numbers(cells, header, where=f"{where}, row {number}")
        if math.isnan(values[at]) or (times and values[at] < times[-1]):
            raise InputError(
                f"row {number}, column {TIME}", where=where, found=cells[at], accepted="times that never fall"
            )
        times.append(values[at])
        rows.append(tuple(values[:at] + values[at + 1 :]))
    if not rows:
        raise InputError("the recording has a header and no rows", where=where)
    return Recording(tuple(header[:at] + header[at + 1 :]), tuple(times), tuple(rows))


def _lines(text: str, *, where: str) -> Iterator[list[str]]:
    """Yield the cells of each line that is neither blank nor comment."""
    if max(map(text.count, "\n\r,")) > MOST_CELLS:
        raise InputError(
            "the recording is too long", where=where, accepted=f"at most {MOST_CELLS:,} values in all"
        )
    try:
        for row in csv.reader(io.StringIO(text, newline=""), strict=True):
            if row and not row[0].lstrip().startswith("#"):
                yield row
    except csv.Error as error:
        raise InputError(f"the recording is not CSV ({error})", where=where) from error


def _numbers(cells: Sequence[str], header: Sequence[str], *, where: str) -> list[float]:
    if len(cells) != len(header):
        raise InputError(f"{where}: {len(cells)} cells", accepted=f"{len(header)}, as in the header")
    try:
        values = [float(cell) for cell in cells]
    except ValueError:
        values = [_number(cell) for cell in cells]
    if math.inf in values or -math.inf in values:
        wrong = next(column for column, value in enumerate(values) if math.isinf(value))
        raise InputError(
            f"column {header[wrong]}", where=where, found=cells[wrong], accepted="a number, or nothing"
        )
    return values


def _number(cell: str) -> float:
    try:
        return float(cell)
    except ValueError:
        return math.inf if cell.strip() else math.nan


class RecordingFeed:
    """Plays a recording.

    Parameters
    ----------
    recording : Recording
        What to play.
    speed : float
        2 is twice as fast.
    loop : bool
        Whether it begins again at its end.
    start_s : float
        Where to begin, in seconds after the first row.
    clock : callable
        Monotonic seconds.
    """

    def __init__(
        self,
        recording: Recording,
        *,
        speed: float = 1.0,
        loop: bool = False,
        start_s: float = 0.0,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        if not 0 < speed <= 1000 or not 0 <= start_s <= recording.length_s:
            raise InputError(
                "the recording cannot be played like this",
                found=f"speed {speed:g} from {start_s:g} s",
                accepted=f"speed more than 0, up to 1000, from 0 to {recording.length_s:g} s",
            )
        self.counters = FeedCounters()
        self._recording, self._speed = recording, speed
        self._loop = loop and recording.length_s > 0
        self._clock = clock
        self._begun_s = clock() - start_s / speed
        self._played = 0
        self._rounds = 0

    @property
    def ended(self) -> bool:
        """Return whether the last row has been given."""
        return not self._loop and self._played >= len(self._recording.rows)

    def poll(self, wait_s: float) -> Arrival:
        """Return the newest values up to now, waiting for the next row at most `wait_s` seconds."""
        due_s = self._due_s() if not self.ended else math.inf
        wait_s = min(max(0.0, due_s - self._clock()), max(0.0, wait_s))
        if wait_s > 0:
            time.sleep(wait_s)
        values: dict[str, float] = {}
        at_s = 0.0
        while not self.ended and self._due_s() <= self._clock():
            row = self._recording.rows[self._played]
            self.counters.taken += 1
            self.counters.superseded += bool(values)
            values |= {n: v for n, v in zip(self._recording.names, row, strict=True) if not math.isnan(v)}
            at_s = self._due_s()
            self._played += 1
            if self._loop and self._played >= len(self._recording.rows):
                self._played, self._rounds = 0, self._rounds + 1
        return Arrival(values, at_s)

    def seek(self, at_s: float) -> None:
        """Go to a time, in seconds after the first row; the rows before it count as given."""
        at_s = min(max(0.0, at_s), self._recording.length_s)
        self._begun_s = self._clock() - at_s / self._speed
        self._rounds = 0
        times = self._recording.times_s
        # the row in force at that time is given again, so that the needles stand right
        self._played = max(0, bisect_right(times, times[0] + at_s) - 1)

    def close(self) -> None:
        """Nothing to let go of."""

    def _due_s(self) -> float:
        recording = self._recording
        into_s = recording.times_s[self._played] - recording.times_s[0] + self._rounds * recording.length_s
        return self._begun_s + into_s / self._speed


class RecordedFeed:
    """Writes down what another feed brings, while it passes.

    Rows go to disk as they come, each in one piece: a killed program leaves a recording that can be played. A
    disk that is full ends the recording with its last whole row, not the feed; `failure` then says why.

    Parameters
    ----------
    feed : Feed
        Where the values come from.
    path : Path
        The file.
    names : sequence of str
        Columns, each name once however often it is given; other names are passed on and not written.
    replace : bool
        Whether a file that is there already may be written over; else it is refused.

    Raises
    ------
    OutputError
        If the file cannot be made.
    """

    def __init__(self, feed: Feed, path: Path, names: Sequence[str], *, replace: bool = False) -> None:
        self._feed, self._names = feed, tuple(dict.fromkeys(names))
        self.counters = feed.counters
        self.failure: OutputError | None = None
        self._path = path
        self._begun_s: float | None = None
        self._whole_bytes = 0
        try:
            self._file = path.open("wb" if replace else "xb", buffering=0)
        except FileExistsError as error:
            raise OutputError(
                "cannot record: the file is there already",
                where=str(path),
                accepted="another file, or --force to replace it",
            ) from error
        except OSError as error:
            reason = error.strerror or error
            raise OutputError(
                f"cannot record ({reason})",
                where=str(path),
                accepted="a new file in a folder that is writable",
            ) from error
        self._write([TIME, *self._names])

    @property
    def ended(self) -> bool:
        """Return whether nothing will come any more."""
        return self._feed.ended

    def poll(self, wait_s: float) -> Arrival:
        """Return what the feed brings, and write it down."""
        arrival = self._feed.poll(wait_s)
        if arrival.values and self.failure is None:
            self._begun_s = arrival.at_s if self._begun_s is None else self._begun_s
            cells = [f"{arrival.at_s - self._begun_s:.4f}"]
            cells += [f"{arrival.values[n]:.10g}" if n in arrival.values else "" for n in self._names]
            self._write(cells)
        return arrival

    def close(self) -> None:
        """Close both."""
        self._feed.close()
        self._file.close()

    def _write(self, cells: Sequence[str]) -> None:
        text = io.StringIO()
        csv.writer(text, lineterminator="\n").writerow(cells)
        row = text.getvalue().encode("utf-8")
        try:
            # a disk that is nearly full takes what fits, and complains only the next time
            if self._file.write(row) < len(row):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            self._whole_bytes += len(row)
        except OSError as error:
            with contextlib.suppress(OSError):
                self._file.truncate(self._whole_bytes)
            self.failure = OutputError(
                f"the recording ends here ({error.strerror or error})", where=str(self._path)
            )
