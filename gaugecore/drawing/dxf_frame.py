"""A DXF file around its entities: header, layers and all the rest that the library writes.

It is the same for every drawing with the same layers, but for its size and the next free handle. So the
library writes it once, with gaps for these and for the entities.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from threading import Lock
from typing import Final

from ezdxf import units
from ezdxf._options import options  # the library's settings, which it exports without saying so
from ezdxf.filemanagement import new

from gaugecore.drawing.elements import Box, Operation

#: The format's colour index by operation, for machines that go by colour: red cut, blue score, green engrave.
_LAYER_COLOURS: Final = {
    Operation.PRINT: 7,
    Operation.MASK: 8,
    Operation.ENGRAVE: 3,
    Operation.SCORE: 5,
    Operation.CUT: 1,
    Operation.GUIDE: 4,
}
#: A size that stands nowhere else in a file.
_SPECIMEN: Final = Box(left_mm=-90001.125, bottom_mm=-90002.125, right_mm=90003.125, top_mm=90004.125)
_SETTING: Final = Lock()
_NO_ENTITIES: Final = "  2\nENTITIES\n  0\nENDSEC\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """A file with gaps.

    Attributes
    ----------
    text : str
        With the gaps ``left``, ``bottom``, ``right``, ``top``, ``next_handle`` and ``entities``.
    owner : str
        Handle of what entities belong to.
    first_handle : int
        That nothing in the frame has, nor any after it.
    """

    text: str
    owner: str
    first_handle: int

    def around(self, entities: str, box: Box, *, next_handle: int) -> str:
        """Return the file of a drawing."""
        return self.text % {
            "left": box.left_mm,
            "bottom": box.bottom_mm,
            "right": box.right_mm,
            "top": box.top_mm,
            "next_handle": f"{next_handle:X}",
            "entities": entities,
        }


def layer_name(operation: Operation) -> str:
    """Return the name of the layer that holds an operation.

    Examples
    --------
    >>> layer_name(Operation.CUT)
    'CUT'
    """
    return operation.value.upper()


@cache
def frame_for(operations: tuple[Operation, ...]) -> Frame:
    """Return the frame of drawings in millimetres with some layers, DXF R2010."""
    with _fixed_dates():
        document = new("R2010", units=units.MM)
        document.header["$MEASUREMENT"] = 1
        for operation in operations:
            document.layers.add(layer_name(operation), color=_LAYER_COLOURS[operation])
        box = _SPECIMEN
        document.header["$EXTMIN"] = (box.left_mm, box.bottom_mm, 0.0)
        document.header["$EXTMAX"] = (box.right_mm, box.top_mm, 0.0)
        space = document.modelspace()
        space.reset_extents((box.left_mm, box.bottom_mm, 0.0), (box.right_mm, box.top_mm, 0.0))
        space.reset_limits((box.left_mm, box.bottom_mm), (box.right_mm, box.top_mm))
        stream = io.StringIO()
        document.write(stream)
    first_handle = int(str(document.entitydb.handles), 16)
    text = stream.getvalue().replace("%", "%%")
    for name, found in (
        ("left", f"{box.left_mm}"),
        ("bottom", f"{box.bottom_mm}"),
        ("right", f"{box.right_mm}"),
        ("top", f"{box.top_mm}"),
    ):
        text = _with_gap(text, found, f"%({name})s")
    seed = f"$HANDSEED\n  5\n{first_handle:X}\n"
    text = _with_gap(text, seed, "$HANDSEED\n  5\n%(next_handle)s\n")
    text = _with_gap(text, _NO_ENTITIES, "  2\nENTITIES\n%(entities)s  0\nENDSEC\n")
    return Frame(text=text, owner=space.layout_key, first_handle=first_handle)


def _with_gap(text: str, found: str, gap: str) -> str:
    if found not in text:
        raise RuntimeError(f"the DXF library writes otherwise than expected: {found!r} is not in its file")
    return text.replace(found, gap)


@contextmanager
def _fixed_dates() -> Iterator[None]:
    """Keep dates and random identifiers out of what is written meanwhile."""
    # the setting is the whole library's, and drawings may be written by several threads
    with _SETTING:
        before = options.write_fixed_meta_data_for_testing
        options.write_fixed_meta_data_for_testing = True
        try:
            yield
        finally:
            options.write_fixed_meta_data_for_testing = before
