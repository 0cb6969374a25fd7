"""Whatever a panel asks to be made, sheets and pages come of it or one sentence does."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gaugecore.drawing.pages import Page
from gaugecore.drawing.paper import pages_to_pdf, paper_pages
from gaugecore.drawing.stock import Stock
from gaugecore.errors import DesignError
from gaugecore.face.face import Aperture, FixingHoles
from gaugecore.face.light import Glow, Lamps, LightLayer, MaskKind
from gaugecore.face.rings import BezelRing, Frame, SpacerRing
from gaugecore.movement.body import Body, Screw
from gaugecore.movement.train import CrankLink, Direct, GearPair
from gaugecore.panel.document import Panel
from gaugecore.panel.making import BackPlate, Making
from gaugecore.panel.making_checks import check_making
from gaugecore.panel.plates import plates_of
from gaugecore.panel.sheets import sheets_of
from tests.panel.test_plates import RUDDER, RUDDER_DIAL

LENGTHS = st.one_of(st.sampled_from([1e-9, 0.1, 2.0, 40.0, 80.0, 94.0, 1000.0]), st.floats(0.01, 200.0))
OFFSETS = st.floats(-60.0, 60.0)
NUMBERS = st.sampled_from([0, 0, 0, 1])


def maybe(strategy: st.SearchStrategy) -> st.SearchStrategy:  # type: ignore[type-arg]
    return st.one_of(st.none(), strategy)


HOLES = st.builds(
    FixingHoles,
    count=st.integers(1, 24),
    pitch_circle_mm=LENGTHS,
    diameter_mm=LENGTHS,
    first_deg=st.floats(-400.0, 400.0),
)
SCREWS = st.builds(Screw, x_mm=OFFSETS, y_mm=OFFSETS, diameter_mm=LENGTHS)
BODIES = st.builds(
    Body,
    diameter_mm=st.sampled_from([0.0, 10.0, 300.0]),
    width_mm=LENGTHS,
    height_mm=LENGTHS,
    screws=st.lists(SCREWS, max_size=3).map(tuple),
)
PLATES = st.builds(BackPlate, body=maybe(BODIES), turn_deg=maybe(OFFSETS), bush_mm=LENGTHS, stock=NUMBERS)
LAMPS = st.builds(
    Lamps,
    circle_mm=maybe(LENGTHS),
    count=maybe(st.integers(1, 200)),
    depth_mm=LENGTHS,
    hole_mm=LENGTHS,
)
LIGHTS = st.builds(
    LightLayer,
    mask=st.sampled_from(MaskKind),
    glow=st.lists(st.sampled_from(Glow), min_size=1, max_size=3).map(tuple),
    lamps=maybe(LAMPS),
)
MAKINGS = st.builds(
    Making,
    frame=maybe(st.builds(Frame, diameter_mm=LENGTHS, holes=maybe(HOLES))),
    back_plate=maybe(PLATES),
    spacer=maybe(st.builds(SpacerRing, width_mm=maybe(LENGTHS))),
    bezel_ring=maybe(st.just(BezelRing())),
    light=maybe(LIGHTS),
)
FACES = st.builds(
    lambda holes, windows: RUDDER.model_copy(update={"fixing_holes": holes, "apertures": tuple(windows)}),
    maybe(HOLES),
    st.lists(
        st.builds(Aperture, x_mm=OFFSETS, y_mm=OFFSETS, width_mm=LENGTHS, height_mm=LENGTHS), max_size=2
    ),
)
TRAINS = st.sampled_from(
    [
        Direct(),
        GearPair(ratio=2.0),
        GearPair(ratio=1.5, movement_teeth=36, pointer_teeth=24),
        CrankLink(ground_mm=40.0, crank_mm=10.0, link_mm=40.0, arm_mm=12.0),
    ]
)
STOCKS = st.builds(Stock, kerf_mm=st.floats(0.0, 2.0), margin_mm=st.floats(0.0, 60.0), gap_mm=LENGTHS)


@pytest.mark.slow
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(MAKINGS, FACES, TRAINS, STOCKS)
def test_anything_asked_for_is_made_or_refused_in_a_sentence(making, face, train, stock) -> None:  # type: ignore[no-untyped-def]
    instrument = RUDDER_DIAL.model_copy(update={"making": making, "face": face, "train": train})
    panel = Panel(title="Ferry", instruments=(instrument,), stock=(stock,))
    refused = refusal(lambda: sheets_of(panel))
    # what sheet refuses, check has said; a face or a pointer has checks of its own
    assert not refused or check_making(panel) or making == Making()
    refusal(lambda: pages_to_pdf(paper_pages(plates_of(instrument), Page.A4, title="Ferry")))


def refusal(make: Callable[[], object]) -> str:
    try:
        assert make()
    except DesignError as error:
        said = str(error)
    else:
        return ""
    assert "\n" not in said
    return said
