"""What a board does over a link, whatever board it is and whatever wire is under it.

The same bodies run against the virtual board on four wires (test_links.py) and against the bench firmware in
a simulated microcontroller (tests/firmware/test_link.py); each gives a fixture `board` of three channels up.
"""

import threading

import pytest

from gaugecore.board.stored_table import StoredTable
from gaugecore.errors import RefusedError


class LinkContract:
    """To be inherited by a test class beside a fixture `board`."""

    def test_it_moves_and_says_so_in_microseconds(self, board):
        assert board.move(1, 1200.26) == (1200.5,)
        while board.status(1).state == "moving":
            pass
        assert board.status(1).command == 1200.5
        assert board.status(0).state == "relaxed"
        board.relax()
        assert board.status(1).state == "relaxed"

    def test_it_refuses_in_a_sentence(self, board):
        with pytest.raises(RefusedError, match=r"channel 1 is outside the limits.*'2100'.*1000 to 2000 µs"):
            board.move(0, 1500, 2100)
        with pytest.raises(RefusedError, match="no such channel"):
            board.move(board.identity.channels, 1500)
        assert board.status(0).state == "relaxed"

    @pytest.mark.parametrize("command", [float("nan"), float("inf"), -1.0, 1e9])
    def test_a_command_that_is_none_is_not_sent(self, board, command):
        with pytest.raises(RefusedError, match="no such command"):
            board.move(0, command)

    def test_settings_come_back(self, board):
        limits = board.set_limits(0, 700, 2300)
        assert (limits.low, limits.high, limits.least, limits.most) == (700, 2300, 300, 3000)
        board.set_loss(0, 800)
        assert board.loss(0) == 800
        board.set_loss(0, None)
        assert board.loss(0) is None
        board.set_watchdog(2.5)
        assert board.watchdog_s() == 2.5

    def test_a_table_goes_up_and_drives(self, board):
        table = StoredTable(tuple((i * 3000, 2000 + 90 * i) for i in range(20)))
        assert board.slot(0).active is None
        assert board.upload(0, table) == 0
        assert board.slot(0).length == len(table.to_bytes())
        board.raw(0, 30_500)
        assert board.status(0).command == table.command(30_500) / 2
        assert board.upload(0, table) == 1

    def test_a_trembling_raw_value_keeps_its_branch_within_the_hysteresis(self, board):
        table = StoredTable(((0, 2000), (60_000, 3200)), ((0, 2100), (60_000, 3300)), hysteresis=200)
        board.upload(0, table)
        falls = []
        for raw in (30_000, 29_800, 29_799, 29_950, 29_999, 30_000, 30_050, 29_851, 29_800):
            board.raw(0, raw)
            command = board.status(0).command * 2
            falls.append(command == table.command(raw, falls=True))
            assert falls[-1] or command == table.command(raw)
        assert falls == [False, False, True, True, True, False, False, False, True]

    def test_two_threads_may_ask_at_once(self, board):
        failed = []

        def ask(channel):
            for command in range(1000, 1040):
                if board.move(channel, command) != (command,):
                    failed.append(command)

        threads = [threading.Thread(target=ask, args=(channel,)) for channel in range(3)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert not failed
        assert [board.status(channel).command for channel in range(3)] == [1039, 1039, 1039]
