"""Drawings as DXF (R2010): millimetres, true arcs, a layer an operation.

Lines with a width are polylines of that width, since DXF's line weights come in steps and are not geometry; a
machine that ignores the width follows their middle, which is where it belongs.
"""

from __future__ import annotations

from gaugecore.drawing.elements import Drawing
from gaugecore.drawing.layers import LAYERS
from gaugecore.drawing.runs import runs_of


def to_dxf(drawing: Drawing) -> bytes:
    """Return a drawing as a DXF file.

    Parameters
    ----------
    drawing : Drawing
        What to write; the pivot is the origin, and the box goes into the drawing's limits.

    Returns
    -------
    bytes
        The same drawing always gives the same bytes.
    """
    # the library takes a while to load, and most runs write no DXF
    from gaugecore.drawing.dxf_entities import EntityTexts
    from gaugecore.drawing.dxf_frame import frame_for

    runs = runs_of(drawing)
    made = {run.first.operation for run in runs}
    frame = frame_for(tuple(operation for operation in LAYERS if operation in made))
    entities = EntityTexts(frame.owner, frame.first_handle)
    for run in runs:
        entities.add(run)
    text = frame.around(entities.text(), drawing.box, next_handle=entities.next_handle())
    return text.encode("utf-8")
