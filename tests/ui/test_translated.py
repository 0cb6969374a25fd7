"""Every text the window shows can be translated, and Qt's own tools find it."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QLocale, QTranslator
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QComboBox,
    QLabel,
    QMenu,
    QTabWidget,
    QWidget,
)

import needlewright.ui
from gaugecore.panel.document import Panel
from needlewright.ui.desk import Stage
from needlewright.ui.editors import _PATCH
from needlewright.ui.fields import fields_of
from needlewright.ui.help_pages import SECTION_OF
from needlewright.ui.translation import in_words, load_translations
from needlewright.ui.vocabulary import vocabulary
from needlewright.ui.window_words import HINTS
from needlewright.ui.wishes import NeedlesThen

FOLDER = Path(needlewright.ui.__file__).parent
SOURCES = sorted(FOLDER.glob("*.py"))
MARKS = {"tr", "translate", "QT_TRANSLATE_NOOP"}

#: What puts a text on the screen, into the undo list or into a screen reader.
SHOWS = {
    "setText", "setToolTip", "setWindowTitle", "setTitle", "setAccessibleName", "setAccessibleDescription",
    "setPlaceholderText", "setStatusTip", "setFormat", "setHorizontalHeaderLabels", "setSuffix", "setPrefix",
    "addTab", "addAction", "addMenu", "addItem", "addItems", "drawText", "say", "_say", "emit",
    "set_summary", "complain",
    "QLabel", "QPushButton", "QCheckBox", "QRadioButton", "QGroupBox", "QAction", "QMenu", "QListWidgetItem",
    "Part", "_button", "_action", "_count", "_bar", "edit", "replace",
}  # fmt: skip

#: Not for people, the same in every language, or what a new panel is filled with and the user changes.
KEPT = {
    "look.py": None,  # the style sheet
    "pictures.py": None,  # for the makers of the program
    "painting.py": {"no way to paint {}"},  # a mistake of the program
    "hit.py": {"no distance to {}"},
    "commands.py": {"Ctrl+Alt+Z", "Ctrl+0", "Ctrl+1", "New panel"},
    "opening.py": {"Needlewright", "New panel"},
    "main_window.py": {"{}[*] · Needlewright", "[*] · Needlewright"},
    "editors.py": {_PATCH, "COLOUR"},  # a style sheet
    "fields.py": {"Hz"},
    "instrument_edits.py": {"Dial {}"},
    "stage_row.py": {"Alt+{}", "{} (Alt+{})"},
    "finish.py": {"lit by night"},  # the choices are translated where they are shown
    "wishes.py": {member.value for member in NeedlesThen},  # as in finish.py
    "stage_table.py": {"utf-8"},
    "help_pages.py": set(SECTION_OF.values()),  # headings of the page, which is in one language
    "window_words.py": {hint for hint, _ in HINTS},  # the terminal's, which the window takes out
    "driving.py": None,  # sentences of the drive, as the terminal has them
}  # fmt: skip


def _name(call: ast.Call) -> str:
    return call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")


def _texts(node: ast.AST) -> Iterator[str]:
    """Yield the texts below a node that are not marked for translation, with {} for what is filled in."""
    if isinstance(node, ast.Call) and _name(node) in MARKS:
        return
    if isinstance(node, ast.Subscript):
        yield from _texts(node.value)  # what is between the brackets is a name in a table
        return
    if isinstance(node, ast.JoinedStr):
        yield "".join(part.value if isinstance(part, ast.Constant) else "{}" for part in node.values)
        return
    if isinstance(node, ast.Constant):
        if isinstance(node.value, str):
            yield node.value
        return
    for child in ast.iter_child_nodes(node):
        yield from _texts(child)


def _without_docstrings(tree: ast.AST) -> ast.AST:
    for node in ast.walk(tree):
        body = getattr(node, "body", None)
        if isinstance(body, list):
            node.body = [  # type: ignore[attr-defined]
                line
                for line in body
                if not (isinstance(line, ast.Expr) and isinstance(line.value, ast.Constant))
            ]
    return tree


def _is_prose(text: str) -> bool:
    """Return whether a text is written for people, wherever it stands: words, or a capital first."""
    return bool(re.search(r"[A-Za-z]{2,} [A-Za-z]", text) or re.match(r"\s*[A-Z][a-z]+", text))


_UNITS = re.compile(r"\b(mm|mA|µs|ms|mN·m)\b")


def untranslated(source: str) -> list[str]:
    """Return the texts of a source that a user would see in English whatever the language."""
    tree = _without_docstrings(ast.parse(source))
    found = [text for text in _texts(tree) if _is_prose(text)]
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and _name(node) in SHOWS:
            parts = [*node.args, *(word.value for word in node.keywords)]
            # a place in the panel, such as ("supply", "measured"), is no text
            parts = [part for part in parts if not isinstance(part, ast.Tuple)]
            found += [
                text
                for part in parts
                for text in _texts(part)
                if re.search(r"[A-Za-z]{2}", _UNITS.sub("", text)) and text not in found
            ]
    return found


@pytest.mark.parametrize("source", SOURCES, ids=lambda path: path.stem)
def test_a_text_for_the_user_is_marked_for_translation(source: Path) -> None:
    kept = KEPT.get(source.name, set())
    if kept is not None:
        assert [text for text in untranslated(source.read_text("utf-8")) if text not in kept] == []


@pytest.mark.parametrize(
    "planted",
    [
        'label = QLabel("Board on")',
        'button.setText("kept")',
        'self.said.emit(f"{n} files written")',
        'box.setToolTip("one" if few else "many")',
        '_ADVICE = ("First the safe range. " "Then the rest.")',
        'return f"Worst error {x:.1f} degrees"',
        'combo.addItems(["every", "none"])',
    ],
)
def test_a_text_that_is_not_marked_is_seen(planted: str) -> None:
    assert untranslated(f"def f():\n    {planted}\n" if planted.startswith("return") else planted)


def test_a_marked_text_a_docstring_and_a_place_are_left_alone() -> None:
    assert untranslated('"""Some words here."""\nbutton.setText(self.tr("Board on"))') == []
    assert untranslated('document.edit(("supply", "measured"), value, name)') == []


_FACE = "<translation>Zifferblatt</translation>"


def _run(tool: str, *words: str) -> None:
    path = Path(sys.executable).with_name(f"pyside6-{tool}")
    subprocess.run([str(path), *words], check=True, capture_output=True)


def _marked(tree: ast.AST, module: str) -> Iterator[tuple[str, str]]:
    """Yield (context, text) of every text that is marked in a source."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef):
            for inner in ast.walk(node):
                if isinstance(inner, ast.Call) and _name(inner) == "tr":
                    yield node.name, ast.literal_eval(inner.args[0])
        if isinstance(node, ast.Call) and _name(node) in ("translate", "QT_TRANSLATE_NOOP"):
            if all(isinstance(argument, ast.Constant) for argument in node.args):
                yield ast.literal_eval(node.args[0]), ast.literal_eval(node.args[1])


@pytest.mark.slow
def test_the_tools_of_translators_find_every_marked_text(tmp_path: Path) -> None:
    wanted = {pair for path in SOURCES for pair in _marked(ast.parse(path.read_text("utf-8")), path.stem)}
    ts = tmp_path / "needlewright_xx.ts"
    _run("lupdate", *map(str, SOURCES), "-ts", str(ts))
    found = {
        (context.findtext("name", ""), message.findtext("source", ""))
        for context in ET.parse(ts).getroot().iter("context")
        for message in context.iter("message")
    }
    assert wanted - found == set()
    assert len(wanted) > 300


class _Bracketed(QTranslator):
    """A language in which every text stands between brackets; it remembers what it was asked for."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: set[tuple[str, str]] = set()

    def translate(self, context: str, text: str, disambiguation: str | None = None, n: int = -1) -> str:
        self.asked.add((context, text))
        return f"‹{text}›"

    def isEmpty(self) -> bool:
        return False


@pytest.fixture
def bracketed(qapp: QApplication) -> Iterator[_Bracketed]:
    translator = _Bracketed()
    qapp.installTranslator(translator)
    fields_of.cache_clear()
    yield translator
    qapp.removeTranslator(translator)
    fields_of.cache_clear()


def _shown(widget: QWidget) -> Iterator[str]:
    for part in widget.findChildren(QWidget):
        if isinstance(part, QAbstractButton | QLabel):
            yield part.text()
        if isinstance(part, QTabWidget):
            yield from (part.tabText(at) for at in range(part.count()))
        if isinstance(part, QComboBox) and not part.isEditable():
            yield from (part.itemText(at) for at in range(part.count()))
        if isinstance(part, QMenu):
            yield from (action.text() for action in part.actions())
        yield part.toolTip()
        yield part.accessibleName()


@pytest.mark.slow
@pytest.mark.parametrize("stage", Stage)
def test_a_window_in_another_language_shows_no_english(
    bracketed: _Bracketed, qapp: QApplication, make_window: Any, panel: Panel, stage: Stage
) -> None:
    window = make_window(panel)
    window.desk.open_stage(stage)
    english = {text for text in _shown(window) if re.search(r"[A-Za-z]{3}", text) and "‹" not in text}
    names = {"SVG", "DXF", "PDF"}
    assert " | ".join(sorted(english - names)) == ""
    asked = {(context, text) for context, text in bracketed.asked if context in ("words", "engine") and text}
    qapp.removeTranslator(bracketed)
    fields_of.cache_clear()
    # what a field is called may be one of the labels that stand in a source
    assert asked - set(vocabulary()) == set()


@pytest.mark.slow
def test_a_language_is_loaded_when_there_is_a_translation_of_it(tmp_path: Path, qapp: QApplication) -> None:
    words = tmp_path / "words.py"
    words.write_text('QT_TRANSLATE_NOOP("words", "face")\n', "utf-8")
    ts = tmp_path / "needlewright_de.ts"
    _run("lupdate", str(words), "-ts", str(ts), "-target-language", "de")
    text = ts.read_text("utf-8").replace('<translation type="unfinished"></translation>', _FACE)
    ts.write_text(text, "utf-8")
    _run("lrelease", str(ts))
    assert not load_translations(qapp, QLocale("fr"), tmp_path)
    assert in_words(Stage.FACE) == "face"
    try:
        assert load_translations(qapp, QLocale("de"), tmp_path)
        assert in_words(Stage.FACE) == "Zifferblatt"
    finally:
        for translator in qapp.findChildren(QTranslator):
            qapp.removeTranslator(translator)
            translator.deleteLater()
