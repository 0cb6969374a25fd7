"""Ports by name: pyserial URLs, and ``virtual:``. The only module that knows pyserial."""

from __future__ import annotations

import contextlib
import select
import socket
import threading
from typing import Any

import serial

from gaugecore.board.link import Link, Patience
from gaugecore.board.virtual_options import VirtualOptions
from gaugecore.board.virtual_process import VirtualProcess
from gaugecore.errors import PortError

BAUD = 115_200
_OPENING_S = 2.5
_LOOK_S = 0.05
_ACCEPTED = "a device name, socket://HOST:PORT or virtual:"


class SerialWire:
    """A wire over anything pyserial can open.

    Parameters
    ----------
    url : str
        Device name or pyserial URL.

    Raises
    ------
    PortError
        If it cannot be opened in time.
    """

    def __init__(self, url: str) -> None:
        self._url = url
        self._port = _open_in_time(url)
        self._connection: socket.socket | None = getattr(self._port, "_socket", None)

    def write(self, data: bytes) -> None:
        """Send all of it."""
        try:
            self._port.write(data)
        except (serial.SerialException, OSError, TypeError) as error:
            raise self._gone(error) from error

    def read(self, wait_s: float) -> bytes:
        """Return what has come, at the latest after `wait_s` seconds, or a twentieth on a device."""
        try:
            if self._connection is not None:
                return self._received(wait_s)
            first: bytes = self._port.read(1)
            return first + self._port.read(self._port.in_waiting) if first else b""
        # TypeError and ValueError: another thread has closed the port under this one
        except (serial.SerialException, OSError, TypeError, ValueError) as error:
            raise self._gone(error) from error

    def close(self) -> None:
        """Let go of the port."""
        # pyserial leaves a socket open that the other end has shut down, and waits 0.3 s after closing one
        if self._connection is not None:
            with contextlib.suppress(OSError):
                self._connection.shutdown(socket.SHUT_RDWR)
            self._connection.close()
            self._port.is_open = False
            return
        with contextlib.suppress(Exception):
            self._port.close()

    def _received(self, wait_s: float) -> bytes:
        """Read a socket in one go; pyserial takes it a byte or two at a time."""
        assert self._connection is not None
        ready, _, _ = select.select([self._connection], [], [], max(0.0, wait_s))
        if not ready:
            return b""
        data = self._connection.recv(4096)
        if not data:
            raise ConnectionError("the other end has hung up")
        return data

    def _gone(self, error: Exception) -> PortError:
        return PortError(
            f"the port went away ({_reason(error)})", where=self._url, accepted="plug it in again"
        )


def ports() -> tuple[tuple[str, str], ...]:
    """Return the serial ports of this machine: device name, and what the system calls it."""
    from serial.tools import list_ports

    return tuple((port.device, port.description or "") for port in sorted(list_ports.comports()))


def open_link(url: str, *, patience: Patience | None = None) -> Link:
    """Return a link to the board on a port, connected.

    Parameters
    ----------
    url : str
        A device name, a pyserial URL such as ``socket://127.0.0.1:4000``, or ``virtual:`` with options as a
        query, ``virtual:?seed=3``: a virtual board of its own, which ends with the link.
    patience : Patience or None
        How long to wait for answers.

    Raises
    ------
    InputError
        If the options of a virtual board make no sense.
    PortError, NoAnswerError, ProtocolError
        If there is no board to talk to.
    """
    if url.startswith("virtual:"):
        process = VirtualProcess(
            VirtualOptions.parse(url.removeprefix("virtual:").lstrip("/").removeprefix("?"))
        )
        link = Link(
            lambda: SerialWire(process.url), name="virtual board", patience=patience, on_close=process.end
        )
    else:
        link = Link(lambda: SerialWire(url), name=url, patience=patience)
    try:
        link.connect()
    except BaseException:
        link.close()
        raise
    return link


def _open_in_time(url: str) -> Any:
    """Open a port in a thread of its own, since a dead host or driver can hold the call for ever."""
    opened: list[Any] = []
    failed: list[Exception] = []
    deciding, is_late = threading.Lock(), False

    def attempt() -> None:
        try:
            port = _open(url)
        except Exception as error:
            failed.append(error)
            return
        with deciding:
            if is_late:
                port.close()  # nobody waits for it any more, and who asks next wants the port free
            else:
                opened.append(port)

    thread = threading.Thread(target=attempt, daemon=True)
    thread.start()
    thread.join(_OPENING_S)
    with deciding:
        if opened:
            return opened[0]
        is_late = True
    cause = failed[0] if failed else None
    reason = _reason(cause) if cause else f"no success within {_OPENING_S:g} s"
    raise PortError(f"cannot open the port ({reason})", where=url, accepted=_ACCEPTED) from cause


def _open(url: str) -> Any:
    port = serial.serial_for_url(url, do_not_open=True, baudrate=BAUD, timeout=_LOOK_S, write_timeout=1.0)
    if "://" not in url:
        with contextlib.suppress(AttributeError, NotImplementedError, ValueError):
            port.exclusive = True
    port.open()
    return port


def _reason(error: Exception) -> str:
    # pyserial wraps the system's error in prose; the system's own words are shorter
    cause = error.__context__ if isinstance(error.__context__, OSError) else error
    return getattr(cause, "strerror", None) or str(error) or type(error).__name__
