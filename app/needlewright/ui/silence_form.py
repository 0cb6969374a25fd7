"""What the needles do when the computer falls silent: all of them, and the one on the canvas by itself."""

from __future__ import annotations

from gaugecore.face.scale import value_range
from gaugecore.panel.document import Instrument, Panel
from gaugecore.panel.silence import Loss, Silence, command_on
from needlewright.ui.desk import Desk
from needlewright.ui.fields import Field, Kind
from needlewright.ui.form_row import FieldRow
from needlewright.ui.translation import translate
from needlewright.ui.wish_form import WishForm
from needlewright.ui.wishes import NeedlesThen, SilenceWishes

_LOSSES: dict[NeedlesThen, Loss] = {NeedlesThen.RELAX: "relax", NeedlesThen.HOME: "home"}
#: What the time begins with when it is set: that of a new board, docs/line-protocol.md section 4.
_FACTORY_S = 1.0


class SilenceForm(WishForm):
    """Time, what all needles do, and where the one on the canvas parks."""

    def __init__(self, desk: Desk) -> None:
        self._parks: dict[str, float] = {}
        self._own: tuple[str, FieldRow] | None = None
        super().__init__(
            self.tr("When the traffic stops"),
            SilenceWishes(),
            untouched=self.tr("as stored in the board"),
            first={"after_s": _FACTORY_S},
        )
        self._desk = desk
        desk.instrument_changed.connect(lambda _: self.refresh())
        desk.document.changed.connect(lambda _: self.refresh())
        desk.document.begun.connect(self._parks.clear)
        self.refresh()

    def silence(self, panel: Panel) -> Silence:
        """Return what is to be stored in the board of a panel's needles.

        Raises
        ------
        FitError
            If a needle that is to park cannot be sent anywhere.
        """
        everybody = _LOSSES.get(self.wishes.needles_then)
        losses: dict[str, Loss] = {} if everybody is None else {"": everybody}
        for one in panel.instruments:
            if one.id in self._parks and one.calibration.fit is not None:
                losses[one.id] = command_on(one, self._parks[one.id])
        return Silence(watchdog_s=self.wishes.after_s, losses=losses)

    def park(self, value: float | None) -> None:
        """Wish that the needle on the canvas parks at a value of its scale; None: what all needles do."""
        instrument = self._desk.instrument
        if instrument is not None:
            self._parks.pop(instrument.id, None)
            if value is not None:
                self._parks[instrument.id] = value
        self.refresh()

    def refresh(self) -> None:
        """Show the row of the instrument on the canvas, if it can be driven."""
        instrument = self._desk.instrument
        fit = instrument.calibration.fit if instrument is not None else None
        key = "" if instrument is None or fit is None else repr((instrument.id, _park_field(instrument)))
        if self._own is not None and self._own[0] != key:
            self._own[1].hide()
            self._own[1].deleteLater()
            self._own = None
        if instrument is not None and key and self._own is None:
            row = FieldRow(_park_field(instrument))
            row.given.connect(self.park)
            row.set_wanted.connect(lambda: self.park(self._desk.value))
            row.setEnabled(self.rows["after_s"].isEnabled())
            self.body.addWidget(row)
            self._own = key, row
        if self._own is not None and instrument is not None:
            self._own[1].show_value(self._parks.get(instrument.id))
        self.sum_up()

    @property
    def own_row(self) -> FieldRow | None:
        """Return the row of the instrument on the canvas, None when it cannot be driven."""
        return self._own[1] if self._own is not None else None

    def let_edit(self, wanted: bool) -> None:
        """Let the wishes be changed, or only be read."""
        super().let_edit(wanted)
        if self._own is not None:
            self._own[1].setEnabled(wanted)

    def said(self) -> list[str]:
        """Return what is wished beyond the usual, a few words each."""
        parks = [self.tr("{0} parks").format(one) for one in self._parks]
        return [*super().said(), *parks]


def _park_field(instrument: Instrument) -> Field:
    low, high = value_range(instrument.face.scale)
    return Field(
        name="park_at",
        label=translate("silence_form", "Park {0} at").format(instrument.id),
        unit=instrument.unit,
        kind=Kind.NUMBER,
        explanation=translate(
            "silence_form", "Where this needle goes then, whatever all others do: a value of its scale"
        ),
        low=low,
        high=high,
        optional=True,
    )
