"""Ways to reach a virtual board from a test; every one of them cleans up after itself."""

import contextlib
import os
import threading
import time

from gaugecore.board.board import Board
from gaugecore.board.link import Link, Patience
from gaugecore.board.messages import LineReader, frame
from gaugecore.board.misbehaviour import Imp, Misbehaviour
from gaugecore.board.serial_link import open_link
from gaugecore.board.virtual_options import VirtualOptions
from gaugecore.board.virtual_server import VirtualServer
from gaugecore.errors import PortError

#: Short waits, so that tests of failing lines do not take minutes.
QUICK = Patience(answer_s=0.05, tries=3, request_s=6.0, connect_s=3.0)


@contextlib.contextmanager
def serving(query="pace=1000", port=0):
    """A board on TCP in a thread of this process."""
    server = VirtualServer(VirtualOptions.parse(query), port=port)
    thread = threading.Thread(target=server.serve)
    thread.start()
    try:
        yield server
    finally:
        server.stop()
        thread.join(10)
        assert not thread.is_alive()


class MemoryWire:
    """A board at the other end of no wire at all; `plugged` false is a pulled cable."""

    plugged = True

    def __init__(self, board):
        self.board, self._reader, self._coming = board, LineReader(), b""

    def write(self, data):
        self._check()
        for body in self._reader.feed(data):
            answer = self.board.answer(body, time.monotonic())
            self._coming += frame(answer) if answer else b""

    def read(self, wait_s):
        self._check()
        coming, self._coming = self._coming, b""
        return coming

    def close(self):
        pass

    def _check(self):
        if not type(self).plugged:
            raise PortError("the cable is pulled")


@contextlib.contextmanager
def on_memory(query="pace=1000"):
    board = VirtualOptions.parse(query).board(Imp(Misbehaviour(), 1))
    link = Link(lambda: MemoryWire(board), name="memory", patience=QUICK)
    link.connect()
    with contextlib.closing(link):
        yield link


@contextlib.contextmanager
def on_tcp(query="pace=1000"):
    with serving(query) as server, contextlib.closing(open_link(server.url, patience=QUICK)) as link:
        yield link


@contextlib.contextmanager
def on_a_device(query="pace=1000"):
    """A board behind a pseudo terminal, opened by its device name like a USB cable."""
    ours, theirs = os.openpty()
    board = VirtualOptions.parse(query).board(Imp(Misbehaviour(), 1))
    reader = LineReader()

    def serve():
        while True:
            try:
                data = os.read(ours, 1024)
            except OSError:
                return
            if data == b"end\n":
                return
            for body in reader.feed(data):
                answer = board.answer(body, time.monotonic())
                if answer is not None:
                    os.write(ours, frame(answer))

    thread = threading.Thread(target=serve)
    thread.start()
    try:
        link = open_link(os.ttyname(theirs), patience=QUICK)
        try:
            yield link
        finally:
            link.close()
    finally:
        os.write(theirs, b"end\n")
        thread.join(10)
        os.close(theirs)
        os.close(ours)
        assert not thread.is_alive()


@contextlib.contextmanager
def on_its_own_process(query="pace=1000"):
    with contextlib.closing(open_link("virtual:?" + query, patience=QUICK)) as link:
        yield link


WAYS = {"memory": on_memory, "tcp": on_tcp, "device": on_a_device, "process": on_its_own_process}


@contextlib.contextmanager
def a_board(query="pace=1000"):
    with on_memory(query) as link:
        yield Board(link)
