"""The sources as a user gets them: all there, built as the README says, keeping their promises."""

from __future__ import annotations

import re
import shlex
import subprocess
from pathlib import Path

import pytest

from gaugecore.errors import TableError
from gaugecore.firmware import PROGRAM, RUNTIME, names, source, sources
from gaugecore.firmware.needles import Needle, needles_header
from gaugecore.table.c import to_c
from gaugecore.table.colophon import identifier
from tests.firmware import dials
from tests.firmware.builds import STRICT, run
from tests.firmware.desk import desk_header
from tests.firmware.simboard import MCUS, SimBoard

LONGEST_FILE = 400
LONGEST_LINE = 115


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder as a user has it: the sources, exported tables, needles.h."""
    for name, content in sources().items():
        (tmp_path / name).write_bytes(content)
    for table in (dials.rudder(), dials.shaft_speed(), dials.fuel()):
        (tmp_path / f"{identifier(table.origin.name)}.h").write_bytes(to_c(table))
    (tmp_path / "needles.h").write_text(desk_header())
    return tmp_path


def test_the_sources_can_be_asked_for_by_name() -> None:
    assert set(RUNTIME) <= set(PROGRAM) <= set(names())
    assert sources(*RUNTIME).keys() == set(RUNTIME)
    with pytest.raises(KeyError):
        source("../__init__.py")


@pytest.mark.parametrize("name", names())
def test_a_source_is_plain_short_and_readable(name: str) -> None:
    lines = source(name).splitlines()
    assert len(lines) <= LONGEST_FILE
    if not name.endswith(".md"):
        source(name).encode("ascii")
        assert max(map(len, lines)) <= LONGEST_LINE


@pytest.mark.slow
@pytest.mark.parametrize("mcu", MCUS)
def test_the_commands_of_the_readme_build_both_programs(folder: Path, mcu: str) -> None:
    commands = [line.strip() for line in source("README.md").splitlines() if "avr-gcc" in line]
    assert len(commands) == 2
    for command in commands:
        words = shlex.split(command.replace("atmega328p", mcu))
        files = [
            str(found.relative_to(folder))
            for word in words
            if word.endswith(".c")
            for found in sorted(folder.glob(word))
        ]
        flags = [word for word in words if not word.endswith(".c")]
        done = subprocess.run([*flags, *files], cwd=folder, capture_output=True, text=True, check=False)
        assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.slow
def test_the_sketch_of_the_readme_compiles(folder: Path) -> None:
    (code,) = re.findall(r"```c\n(.*?)```", source("README.md"), re.DOTALL)
    calls = "\n".join(re.findall(r"nw_(?:begin|raw|tick)\([^;]*;", code))
    declarations = code[: code.index("/* once */")]
    body = f"const int32_t value = 5;\n{calls}\nreturn (int)nw_output(&rudder);"
    main = f"{declarations}\nint main(void)\n{{\n{body}\n}}\n"
    (folder / "sketch.c").write_text(main)
    (folder / "nw_rudder.h").write_bytes(to_c(dials.rudder_one_map()))
    for compiler in ("gcc", "clang"):
        run(compiler, *STRICT, folder / "sketch.c", folder / "nw_needle.c", "-o", folder / "sketch")


@pytest.mark.parametrize("mcu", MCUS)
def test_only_the_beginning_divides_and_nothing_uses_floats_or_allocates(folder: Path, mcu: str) -> None:
    target = folder / "needle.o"
    run(
        "avr-gcc",
        f"-mmcu={mcu}",
        "-Os",
        "-std=c99",
        "-ffunction-sections",
        "-c",
        folder / "nw_needle.c",
        "-o",
        target,
    )
    needs: dict[str, set[str]] = {}
    section = ""
    for line in run("avr-objdump", "-r", target).splitlines():
        if line.startswith("RELOCATION RECORDS FOR"):
            section = line.split("[")[1].rstrip("]:")
        elif "__" in line or "alloc" in line:
            needs.setdefault(section, set()).add(line.split()[-1])
    dividing = {name for name, called in needs.items() if any("div" in one or "mod" in one for one in called)}
    called = set().union(*needs.values())
    assert dividing == {".text.nw_begin"}
    assert not [one for one in called if "sf" in one or "alloc" in one]


def test_the_stack_of_the_bench_program_stays_clear_of_its_variables(board: SimBoard) -> None:
    symbols = {line.split()[-1]: line.split()[0] for line in run("avr-nm", board.program).splitlines()}
    end = int(symbols["_end"], 16) - 0x800000
    board.ask("home 3")
    for request in ("limits 0 2100 3900", "loss 0 park 3000", "move 0 2200 2200", f"begin 0 {4 + 4 * 5}"):
        assert board.ask(request).startswith("ok")
    board.ask("block 0 0 010500000000340801008C0A0200003003000040FFFF0050")
    board.ask("commit 0 00000000")
    assert board.ask("counters")
    # the simulator's memory is zero until it is written
    assert not any(board.peek(address) for address in range(end, end + 256))


def test_needles_that_have_no_pins_are_refused() -> None:
    servo = Needle(identifier="nw_a", unit="ticks", both_ways=False, raw_type="uint16_t")
    stepper = Needle(identifier="nw_b", unit="steps", both_ways=False, raw_type="uint16_t", travel_steps=945)
    for needles in ([], [servo] * 5, [stepper, stepper], [stepper, servo]):
        with pytest.raises(TableError, match="servo") as refusal:
            needles_header(needles)
        assert "\n" not in str(refusal.value)


def test_a_needle_with_negative_commands_is_refused_in_one_sentence() -> None:
    signed = Needle(identifier="nw_a", unit="steps", both_ways=False, raw_type="uint16_t", lowest=-40)
    with pytest.raises(
        TableError, match="the small program's commands have no sign, found 'a command of -40'"
    ):
        needles_header([signed])
