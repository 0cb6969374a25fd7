"""Texts of the window in the user's language: outside of widgets, whose own `tr` does the same.

A text is written in English where it is used, inside `tr` or `translate`; a text that is made before there is
a window is marked with ``QT_TRANSLATE_NOOP`` and translated where it is shown. Qt's own tools find both.
"""

from __future__ import annotations

from enum import Enum
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QLocale, QTranslator

#: Where translations lie: ``needlewright_de.qm`` for German.
FOLDER = Path(__file__).parent / "translations"


def translate(context: str, text: str) -> str:
    """Return a text in the user's language, as it is when there is no translation.

    Parameters
    ----------
    context : str
        Name of the module, by which translators find the text.
    text : str
        In English.
    """
    return QCoreApplication.translate(context, text)


def QT_TRANSLATE_NOOP(context: str, text: str) -> str:
    """Mark a text for translators and return it as it is. Qt's tools know it by this name."""
    return text


def in_words(member: Enum) -> str:
    """Return one of a few choices as people write it, in the user's language."""
    return translate("words", str(member.value).replace("_", " ").replace("-", " "))


def capital(text: str) -> str:
    """Return a text with its first letter upper case and the rest as it is."""
    return text[:1].upper() + text[1:]


def with_minus(text: str) -> str:
    """Return a number as text with the minus sign of print, U+2212, in place of the hyphen."""
    return text.replace("-", "−")


def load_translations(application: QCoreApplication, locale: QLocale, folder: Path = FOLDER) -> bool:
    """Let an application speak the user's language, if there is a translation; return whether there is."""
    translator = QTranslator(application)
    return translator.load(locale, "needlewright", "_", str(folder)) and application.installTranslator(
        translator
    )
