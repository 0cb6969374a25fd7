"""Edits of the list of instruments: panels in, panels out."""

from __future__ import annotations

from gaugecore.face.presets import preset
from gaugecore.face.scale import value_range
from gaugecore.panel.document import Calibration, Panel, RawInput
from gaugecore.panel.edit import with_value
from gaugecore.panel.starter import starter_panel

#: As long as an identifier may be, less room for a number.
_LONGEST_STEM = 34


def fresh(panel: Panel, preset_name: str = "") -> tuple[Panel, str]:
    """Return the panel with a starter instrument at its end, and the new one's id.

    With the name of a preset its face is that one, its raw input covers the preset's scale, and its needle is
    as long as the face has room for.
    """
    made = starter_panel(panel.title).instruments[0]
    name = free_id(panel, "dial")
    number = name.rpartition("-")[2]
    changes: dict[str, object] = {"id": name, "title": f"Dial {number}"}
    if preset_name:
        face = preset(preset_name)
        low, high = value_range(face.scale)
        length_mm = round(face.graduations.outer_radius_mm - face.graduations.major.length_mm / 2.0, 1)
        changes["face"] = face
        changes["title"] = f"{preset_name.replace('-', ' ').capitalize()} {number}"
        changes["unit"] = ""
        changes["raw"] = RawInput(low_value=low, high_value=high)
        changes["pointer"] = made.pointer.model_copy(update={"length_mm": length_mm})
    added = made.model_copy(update=changes)
    return with_value(panel, ("instruments",), (*panel.instruments, added)), name


def copied(panel: Panel, instrument_id: str) -> tuple[Panel, str]:
    """Return the panel with a copy of an instrument after it, and the copy's id.

    The copy is not calibrated: a fit belongs to one servo, gear and needle, not to a design.
    """
    at = next(i for i, instrument in enumerate(panel.instruments) if instrument.id == instrument_id)
    original = panel.instruments[at]
    stem = instrument_id.rstrip("0123456789").rstrip("-")[:_LONGEST_STEM] or "dial"
    name = free_id(panel, stem)
    copy = original.model_copy(update={"id": name, "calibration": Calibration()})
    instruments = (*panel.instruments[: at + 1], copy, *panel.instruments[at + 1 :])
    return with_value(panel, ("instruments",), instruments), name


def without(panel: Panel, instrument_id: str) -> Panel:
    """Return the panel without an instrument."""
    kept = tuple(instrument for instrument in panel.instruments if instrument.id != instrument_id)
    return with_value(panel, ("instruments",), kept)


def free_id(panel: Panel, stem: str) -> str:
    """Return a name that no instrument has: the stem and the next number."""
    taken = {instrument.id for instrument in panel.instruments}
    return next(name for n in range(1, len(taken) + 2) if (name := f"{stem}-{n}") not in taken)
