"""What would make plates and papers unfit, whichever verb makes them; the rest is for `check`."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from gaugecore.findings import Finding, Severity
from gaugecore.panel.document import Instrument


def face_faults(instruments: Sequence[Instrument]) -> list[Finding]:
    """Return the faults of instruments' faces."""
    from gaugecore.face.readability import check_face

    return only_faults(
        finding.within(f"instruments.{instrument.id}")
        for instrument in instruments
        for finding in check_face(
            instrument.face,
            pointer_length_mm=instrument.pointer.length_mm,
            pointer_gap_mm=instrument.pointer.gap_mm,
            tip_width_mm=instrument.pointer.tip_width_mm,
        )
    )


def only_faults(found: Iterable[Finding]) -> list[Finding]:
    """Return the findings that keep the thing from doing its job."""
    return [finding for finding in found if finding.severity is Severity.FAULT]
