"""Whether the plates of a panel can be made: drawn at all, with this kerf, from these sheets."""

from __future__ import annotations

from functools import lru_cache

from gaugecore.drawing.nesting import nest
from gaugecore.drawing.stock import Stock
from gaugecore.errors import DesignError, Fault
from gaugecore.findings import Finding, Severity
from gaugecore.panel.document import Calibration, Instrument, Panel
from gaugecore.panel.making import Making
from gaugecore.panel.plates import Plate, stocked_plates_of
from gaugecore.panel.sheets import pieces_of, stock_of, stray_holes

#: What stands in the names of materials that give off hydrogen chloride when a laser cuts them.
_NEVER = ("pvc", "vinyl")


def check_making(panel: Panel) -> list[Finding]:
    """Return what keeps a panel's plates from being made."""
    found = check_stock(panel)
    for instrument in panel.instruments:
        # readings make no difference to plates, and are slow to compare
        plain = instrument.model_copy(update={"calibration": Calibration()})
        found += [finding.within(f"instruments.{instrument.id}") for finding in _check(plain, panel.stock)]
    return found


def check_stock(panel: Panel) -> list[Finding]:
    """Return which stock must never see a laser."""
    return [
        Finding(
            rule="never-laser-pvc",
            severity=Severity.FAULT,
            place=f"stock.{number}.name",
            message="PVC and vinyl must never be cut with a laser: they give off hydrogen chloride.",
            measured=stock.name,
            wanted="a material your machine's rules allow",
            source="common practice, no source",
            remedy="Take cast acrylic, or cut this sheet with a knife.",
        )
        for number, stock in enumerate(panel.stock)
        if any(word in stock.name.lower() for word in _NEVER)
    ]


@lru_cache(maxsize=256)
def _check(instrument: Instrument, stock: tuple[Stock, ...]) -> list[Finding]:
    try:
        plates = stocked_plates_of(instrument)
    except DesignError as error:
        # face and pointer have checks of their own
        if instrument.making == Making():
            return []
        place = error.fault.where.removeprefix(f"instruments.{instrument.id}.") or "making"
        return [_finding("plate-cannot-be-drawn", Severity.FAULT, place, "A plate cannot be drawn", error)]
    return [finding for plate in plates for finding in _check_plate(stock, plate)]


def _check_plate(all_stock: tuple[Stock, ...], plate: Plate) -> list[Finding]:
    if plate.stock is None:
        return []
    place, name = f"making.{plate.field}", f"Plate {plate.drawing.name}"
    # a face's own holes are the business of its own checks
    stray = [] if plate.field == "face_stock" else stray_holes(plate.drawing)
    if stray:
        return [_off_the_plate(place, plate.drawing.name, hole.part) for hole in stray[:1]]
    try:
        stock = stock_of(all_stock, plate, "")
    except DesignError as error:
        return [_finding("stock-missing", Severity.FAULT, place, name, error)]
    try:
        pieces = pieces_of(plate.drawing, stock.kerf_mm)
    except DesignError as error:
        opening = f"{name}, {error.fault.where}" if error.fault.where else name
        return [_finding("kerf-too-wide", Severity.FAULT, place, opening, error)]
    try:
        for piece in pieces:
            nest([piece.form], stock)
    except DesignError as error:
        return [_finding("plate-larger-than-sheet", Severity.CAUTION, place, name, error)]
    return []


def _off_the_plate(place: str, plate: str, hole: str) -> Finding:
    return Finding(
        rule="hole-off-the-plate",
        severity=Severity.FAULT,
        place=place,
        message=f"The hole {hole} lies outside the plate {plate}, so it is not cut.",
        wanted="holes that lie in the plate",
        source="geometry",
        remedy="Move the hole inward, or make the plate wider.",
    )


def _finding(rule: str, severity: Severity, place: str, subject: str, error: DesignError) -> Finding:
    """Return what an error says as a finding, about a subject that people know by its name."""
    fault = error.fault
    return Finding(
        rule=rule,
        severity=severity,
        place=place,
        message=f"{subject}: {_with_subject(fault)}",
        measured="" if fault.found is None else str(fault.found),
        wanted=fault.accepted,
        source="geometry",
        remedy="Change the plate or the stock.",
    )


def _with_subject(fault: Fault) -> str:
    """Return what is wrong as a clause; some leave it to the path to say what they are about."""
    if not fault.what.startswith("does not "):
        return fault.what
    leaf = fault.where.split(".")[-1].removesuffix("_mm").replace("_", " ")
    return f"its {leaf} {fault.what}"
