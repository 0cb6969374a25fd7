"""The terminal: finds the verb, runs it, turns its outcome into text or JSON and an exit code.

Exit codes: 0 done; 1 done, a finding of severity fault; 2 refused; 3 the hardware did not answer.
"""

from __future__ import annotations

import argparse
import importlib
import json
import os
import sys
from collections.abc import Sequence
from typing import NoReturn

from gaugecore.errors import BoardError, InputError, NeedlewrightError, OutputError
from needlewright.cli.outcome import Exit, Outcome

#: In the order of the job.
VERBS = (
    "new",
    "check",
    "draw",
    "sheet",
    "movement",
    "supply",
    "virtual_board",
    "calibrate",
    "fit",
    "table",
    "upload",
    "drive",
    "record",
    "demo",
    "app",
)


class _Parser(argparse.ArgumentParser):
    """Refuses in one line, like everything else here."""

    def error(self, message: str) -> NoReturn:
        # the program's name stands before every refusal
        verb = self.prog.partition(" ")[2]
        raise InputError(message, where=verb, accepted=f"see {self.prog} --help")


def parser() -> argparse.ArgumentParser:
    """Return the parser of all verbs."""
    root = _Parser(
        prog="needlewright",
        description="Design, calibrate and drive real analogue needles for simulator panels.",
        epilog="Exit codes: 0 done; 1 done, with a fault found; 2 refused; 3 the hardware did not answer.",
    )
    verbs = root.add_subparsers(title="verbs", metavar="VERB", required=True, parser_class=_Parser)
    for name in VERBS:
        module = importlib.import_module(f"needlewright.cli.{name}")
        summary = (module.__doc__ or "").splitlines()[0]
        verb = verbs.add_parser(
            name.replace("_", "-"),
            help=summary,
            description=module.__doc__,
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        module.add_arguments(verb)
        verb.add_argument("--json", action="store_true", help="print exactly one JSON object")
        verb.set_defaults(run=module.run)
    return root


def main(words: Sequence[str] | None = None) -> int:
    """Run one verb and return the exit code."""
    # names and numerals are Unicode, whatever the console's code page says; what is not is no reason to stop
    for stream, errors in (
        (sys.stdin, "replace"),
        (sys.stdout, "backslashreplace"),
        (sys.stderr, "backslashreplace"),
    ):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors=errors)
    try:
        args = parser().parse_args(words)
        outcome: Outcome = args.run(args)
        _show(outcome, as_json=args.json)
        return outcome.exit_code
    except BoardError as error:
        return _refuse(error, Exit.NO_ANSWER)
    except NeedlewrightError as error:
        return _refuse(error, Exit.REFUSED)
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)  # noqa: T201
        return Exit.REFUSED
    except BrokenPipeError:
        _mute()
        return Exit.DONE
    except (
        OSError
    ) as error:  # what no verb foresaw: a folder that may not be looked into, no memory for a child
        reason = error.strerror or str(error) or type(error).__name__
        where = "" if error.filename is None else str(error.filename)
        return _refuse(OutputError(f"the system refuses ({reason})", where=where), Exit.REFUSED)


def _mute() -> None:
    """Throw away what is still to be printed: the reader of a pipe has gone, as `| head` does."""
    # Python would complain once more at exit
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _show(outcome: Outcome, *, as_json: bool) -> None:
    text = outcome.text
    if as_json:
        text = "" if outcome.report is None else json.dumps(outcome.report, allow_nan=False)
    if text:
        try:
            print(text, flush=True)  # noqa: T201
        except BrokenPipeError:
            _mute()  # whoever does not read on still gets the exit code


def _refuse(error: NeedlewrightError, code: Exit) -> Exit:
    print(f"needlewright: {error}", file=sys.stderr)  # noqa: T201
    return code


if __name__ == "__main__":
    sys.exit(main())
