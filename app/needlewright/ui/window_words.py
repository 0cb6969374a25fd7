"""Engine and terminal speak of verbs and options; here is what stands for each of them in the window.

The engine's sentences are shared with the terminal, where its hints can be typed. The window shows the same
sentences with the names of its own controls. A test holds that no hint of the engine is left over.
"""

from __future__ import annotations

import re

from gaugecore.panel.edit import parse_place
from needlewright.ui.fields import words
from needlewright.ui.translation import QT_TRANSLATE_NOOP, translate

#: From a hint for the terminal to words for the window; the longer ones come first.
HINTS = (
    (
        r"[Aa]dd one, or start from a sample: needlewright new FILE --like SAMPLE",
        QT_TRANSLATE_NOOP(
            "window_words", "Add one with New, on the left, or begin from a sample in the Panel menu"
        ),
    ),
    (
        r"[Tt]ake readings: needlewright calibrate, or needlewright fit with a readings file",
        QT_TRANSLATE_NOOP(
            "window_words", "Take readings at the calibration stage, or open a readings file there"
        ),
    ),
    (
        r"an instrument that is calibrated: needlewright calibrate PANEL --instrument ID",
        QT_TRANSLATE_NOOP("window_words", "an instrument that is calibrated, at the calibration stage"),
    ),
    (
        r"needlewright calibrate PANEL --instrument ID",
        QT_TRANSLATE_NOOP("window_words", "a calibration, at the calibration stage"),
    ),
    (
        r"a file written by: needlewright fit READINGS\.csv --out FIT\.json",
        QT_TRANSLATE_NOOP("window_words", "the file of a fit"),
    ),
    (r", or --force to replace it", ""),
    (
        r"--force to replace",
        QT_TRANSLATE_NOOP("window_words", "tick “Replace files that are there already”"),
    ),
    (
        r", or --set-limits",
        QT_TRANSLATE_NOOP("window_words", ", or tick “Set the board's limits…” here"),
    ),
    (
        r"stop at its ends \(--clamp\)",
        QT_TRANSLATE_NOOP("window_words", "tick “Stop at the ends of the calibrated arc”"),
    ),
    (r"larger paper, --paper A3", QT_TRANSLATE_NOOP("window_words", "larger paper, A3, in the print dialog")),
    (r"--max-error ", QT_TRANSLATE_NOOP("window_words", "a largest error of ")),
    (
        r", or --timer-hz 2000000",
        QT_TRANSLATE_NOOP("window_words", ", or a timer of 2000000 Hz among the further demands"),
    ),
    (r"then set measured to true", QT_TRANSLATE_NOOP("window_words", "then tick Measured")),
)


def window_words(text: str) -> str:
    """Return a sentence of the engine with the window's own controls in place of verbs and options.

    Examples
    --------
    >>> window_words("another folder, or --force to replace")
    'another folder, or tick “Replace files that are there already”'
    """
    for hint, said in HINTS:
        text = re.sub(hint, translate("window_words", said) if said else "", text)
    return text


def place_words(place: str) -> str:
    """Return a place in the panel as the forms name it, from the outside in.

    Examples
    --------
    >>> place_words("instruments.flap.face.detent_marks")
    'flap, Face, Detent marks'
    >>> place_words("supply.loads.0")
    'Supply, Loads 1'
    """
    steps = [str(step) for step in parse_place(place)]
    said: list[str] = steps[1:2] if steps[:1] == ["instruments"] else []
    for step in steps[2:] if said else steps:
        if step.isdigit() and said:
            said[-1] += f" {int(step) + 1}"
        else:
            said.append(words(step))
    return ", ".join(said)
