"""A virtual board on a TCP port, and the small program (``python -m`` this module) that is one.

One thread, one computer at a time as on a cable: a new connection takes the place of the old one.
"""

from __future__ import annotations

import contextlib
import heapq
import selectors
import signal
import socket
import sys
import threading
import time

from gaugecore.board.messages import LineReader, frame
from gaugecore.board.misbehaviour import Imp
from gaugecore.board.virtual import VirtualBoard
from gaugecore.board.virtual_options import VirtualOptions
from gaugecore.errors import InputError

_WATCHDOG_LOOK_S = 0.02


class VirtualServer:
    """Listens from the moment it is made; serves when `serve` is called; ends with `stop`, from any thread.

    Parameters
    ----------
    options : VirtualOptions
        What board it is.
    host, port : str, int
        Where to listen; port 0 takes a free one.

    Raises
    ------
    InputError
        If the address cannot be listened on.
    """

    def __init__(self, options: VirtualOptions, *, host: str = "127.0.0.1", port: int = 0) -> None:
        self.imp = Imp(options.misbehaviour, options.seed)
        self.board: VirtualBoard = options.board(self.imp)
        try:
            socket.getaddrinfo(host, port)  # a name that is none is known before there is a socket to close
            # never shares a port with another program, which the reuse option would allow on some systems
            self._listener = socket.create_server((host, port))
        # ValueError: a host's name that cannot be encoded as one
        except (OSError, OverflowError, ValueError) as error:
            raise InputError(
                f"cannot listen there ({getattr(error, 'strerror', None) or error})",
                where=f"{host}:{port}",
                accepted="a free port of this machine, or 0 for any",
            ) from error
        self.host, self.port = self._listener.getsockname()[:2]
        self._wake, self._waker = socket.socketpair()
        self._stopping = threading.Event()
        self._client: socket.socket | None = None
        self._reader = LineReader()
        self._outbox: list[tuple[float, int, bytes]] = []
        self._posted = 0

    @property
    def url(self) -> str:
        """Return the port to give to a link."""
        return f"socket://{self.host}:{self.port}"

    def stop(self) -> None:
        """Make `serve` return."""
        self._stopping.set()
        with contextlib.suppress(OSError):
            self._waker.send(b"x")

    def hang_up(self) -> None:
        """Pull the cable: end the connection there is; the next one will be taken."""
        if self._client is not None:
            with contextlib.suppress(OSError):
                self._client.shutdown(socket.SHUT_RDWR)

    def serve(self) -> None:
        """Serve until `stop`."""
        with selectors.DefaultSelector() as selector:
            selector.register(self._listener, selectors.EVENT_READ)
            selector.register(self._wake, selectors.EVENT_READ)
            try:
                while not self._stopping.is_set():
                    for key, _ in selector.select(self._patience_s()):
                        if key.fileobj is self._listener:
                            self._welcome(selector)
                        elif key.fileobj is self._client:
                            self._hear(selector)
                    self.board.tick(time.monotonic())
                    self._post(selector)
            finally:
                self._drop_client(selector)
                for one in (self._listener, self._wake, self._waker):
                    one.close()

    def _patience_s(self) -> float:
        due_s = self._outbox[0][0] - time.monotonic() if self._outbox else _WATCHDOG_LOOK_S
        return min(max(due_s, 0.0), _WATCHDOG_LOOK_S)

    def _welcome(self, selector: selectors.BaseSelector) -> None:
        try:
            client, _ = self._listener.accept()
        except OSError:
            return  # whoever knocked has gone again
        self._drop_client(selector)
        with contextlib.suppress(OSError):  # gone again, too: some systems say so here, all when it is read
            client.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        client.settimeout(1.0)  # a computer that does not read must not hold up the watchdog for ever
        self._client, self._reader = client, LineReader()
        selector.register(client, selectors.EVENT_READ)

    def _drop_client(self, selector: selectors.BaseSelector) -> None:
        if self._client is not None:
            selector.unregister(self._client)
            self._client.close()
        self._client = None
        self._outbox.clear()

    def _hear(self, selector: selectors.BaseSelector) -> None:
        assert self._client is not None
        try:
            data = self._client.recv(4096)
        except OSError:
            data = b""
        if not data:
            self._drop_client(selector)
            return
        before = (self._reader.bad, self._reader.overlong)
        bodies = list(self._reader.feed(data))
        self.board.counts["bad"] += self._reader.bad - before[0]
        self.board.counts["overlong"] += self._reader.overlong - before[1]
        for body in bodies:
            self._answer(body, selector)

    def _answer(self, body: str, selector: selectors.BaseSelector) -> None:
        faults, happens, now_s = self.imp.misbehaviour, self.imp.happens, time.monotonic()
        if happens(faults.drop):
            return
        if happens(faults.corrupt):
            self.board.counts["bad"] += 1  # what came in is not what was sent: its CRC gives it away
            return
        if happens(faults.reset):
            self.board.restart(now_s)
            return
        if happens(faults.hangup):
            self._drop_client(selector)
            return
        answer = self.board.answer(body, now_s)
        if answer is None:
            return
        if " move " in body and happens(faults.brownout):
            self.board.restart(now_s + 0.05)
            return
        line = self.imp.answer_lines(frame(answer))
        self._posted += 1
        heapq.heappush(self._outbox, (now_s + self.imp.late_s(), self._posted, line))

    def _post(self, selector: selectors.BaseSelector) -> None:
        while self._outbox and self._outbox[0][0] <= time.monotonic():
            _, _, line = heapq.heappop(self._outbox)
            try:
                if self._client is not None:
                    self._client.sendall(line)
            except OSError:
                self._drop_client(selector)


def main(words: list[str]) -> int:
    """Serve the board of a query, as a child of the program that wants it.

    The first line of standard output is the URL. It ends when its standard input ends, so it cannot outlive
    the program that started it, however that one dies.
    """
    # Ctrl-C goes to every program of a terminal; this one is to be there while the other parks its needles
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    server = VirtualServer(VirtualOptions.parse(words[0] if words else ""))

    def wait_for_the_end() -> None:
        sys.stdin.buffer.read()
        server.stop()

    threading.Thread(target=wait_for_the_end, daemon=True).start()
    sys.stdout.write(server.url + "\n")
    sys.stdout.flush()
    server.serve()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
