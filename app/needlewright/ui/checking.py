"""Keeps the findings in step with the panel, without holding up the hand that edits it."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer, Signal

from gaugecore.findings import Finding
from gaugecore.panel.document import Instrument, Panel
from needlewright.ui.background import Background
from needlewright.ui.document import PanelDocument
from needlewright.ui.status import of_instrument

#: Short enough to feel immediate, long enough that a drag is not checked at every frame.
_PAUSE_MS = 150
#: A hand that drags rests for as long as this without letting go, and goes on.
_REST_MS = 400


class Checking(QObject):
    """Checks the panel after it has changed, always the newest, never two at a time.

    Signals
    -------
    found : tuple of Finding
        What the checks say of the current panel.
    """

    found = Signal(object)

    def __init__(
        self, document: PanelDocument, background: Background, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document, self._background = document, background
        self._findings: tuple[Finding, ...] = ()
        self._of: dict[str, tuple[Finding, ...]] = {}
        self._running: Panel | None = None
        self._memory = _Memory()
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.timeout.connect(self.check_now)
        document.changed.connect(lambda _: self.check_soon())

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Return the findings of the last check."""
        return self._findings

    def findings_of(self, instrument_id: str) -> tuple[Finding, ...]:
        """Return what the last check found of an instrument and of the panel as a whole.

        It is asked for at every edit, and a panel of many dials has hundreds of findings.
        """
        if instrument_id not in self._of:
            self._of[instrument_id] = of_instrument(self._findings, instrument_id)
        return self._of[instrument_id]

    def check_soon(self) -> None:
        """Check when the window has been painted: the first check loads a good part of the engine."""
        self._pause.start(_REST_MS if self._document.in_hand else _PAUSE_MS)

    def check_now(self) -> None:
        """Check the current panel, unless a check is under way; that one starts another when it is done."""
        if self._running is not None:
            return
        panel = self._document.panel
        self._running = panel
        self._background.run(lambda: self._memory.check_panel(panel), self._take)

    def _take(self, findings: tuple[Finding, ...]) -> None:
        is_current = self._running is self._document.panel
        self._running = None
        if is_current:
            self._findings, self._of = findings, {}
            self.found.emit(findings)
        elif not self._pause.isActive():  # else the panel has only just changed, and goes on changing
            self.check_now()


class _Memory:
    """The findings of instruments checked before.

    A panel shares what an edit leaves alone, so an instrument that is the same object has the same findings.
    """

    def __init__(self) -> None:
        self._kept: dict[str, tuple[Instrument, list[Finding]]] = {}

    def check_panel(self, panel: Panel) -> tuple[Finding, ...]:
        """Return the findings of a panel."""
        # here and not above: the checks bring half the engine, and the window is to show before that
        from gaugecore.panel.checks import check_panel

        return tuple(check_panel(panel, self.check))

    def check(self, instrument: Instrument) -> list[Finding]:
        """Return the findings of an instrument."""
        from gaugecore.panel.checks import check_instrument

        kept = self._kept.get(instrument.id)
        if kept is None or kept[0] is not instrument:
            kept = (instrument, check_instrument(instrument))
            self._kept[instrument.id] = kept
        return kept[1]
