"""What is done with a fit: checks, classes, detents, comparison, pairs, report, picture."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ElementTree
from io import BytesIO
from typing import Any

import pytest

from gaugecore.calibration.accuracy_class import CLASSES, accuracy_class
from gaugecore.calibration.checks import check_fit
from gaugecore.calibration.compare import compare_fits
from gaugecore.calibration.detents import cover_probability
from gaugecore.calibration.fit import fit_readings
from gaugecore.calibration.fit_file import parse_fit
from gaugecore.calibration.pairs import parse_pairs, readings_of_pairs
from gaugecore.calibration.plot import plot_fit
from gaugecore.calibration.readings import Direction, Held
from gaugecore.calibration.report import describe
from gaugecore.calibration.result import Fit
from gaugecore.errors import FitError, ReadingsError
from gaugecore.findings import Severity
from tests.calibration.sweeps import cycles, sweep, with_angle


@pytest.fixture(scope="module")
def fit() -> Fit:
    return fit_readings(sweep(16))


def test_class_limits_are_those_of_en_837_1() -> None:
    """EN 837-1:1996 table 11, by way of a secondary source."""
    assert CLASSES == (0.1, 0.25, 0.6, 1.0, 1.6, 2.5, 4.0)


def test_the_sure_class_is_never_finer_than_the_probable_one() -> None:
    for u_deg in (0.01, 0.1, 0.3, 0.7, 1.5, 2.0):
        earned = accuracy_class([u_deg] * 40, span_deg=150.0)
        assert earned.error_percent_95 > earned.error_percent_50
        if earned.surely is not None:
            assert earned.probably is not None
            assert earned.surely >= earned.probably
            assert earned.error_percent_95 <= earned.surely


def test_a_dial_can_earn_no_class_at_all() -> None:
    assert accuracy_class([9.0] * 40, span_deg=90.0).surely is None


def test_the_chance_to_cover_a_detent_is_that_of_the_normal_distribution(fit: Fit) -> None:
    u = float(sum(fit.knots.standard_uncertainty_deg) / len(fit.knots.standard_uncertainty_deg))
    # 68.27 % within one standard deviation, 95.45 % within two; tables of the normal distribution
    middle = 0.0
    for times, chance in ((1.0, 0.6827), (2.0, 0.9545)):
        found = cover_probability(fit, middle, tolerance_deg=times * u, direction=Direction.UP)
        assert found == pytest.approx(chance, abs=0.08)


def test_a_single_table_misses_a_detent_more_often_from_either_side(fit: Fit) -> None:
    for side in (Direction.UP, Direction.DOWN):
        both = cover_probability(fit, 10.0, tolerance_deg=0.8, direction=side)
        single = cover_probability(fit, 10.0, tolerance_deg=0.8, direction=side, per_direction=False)
        assert single < both


def test_a_detent_off_the_arc_is_refused_by_name(fit: Fit) -> None:
    with pytest.raises(FitError, match="a detent mark lies outside the calibrated arc, found '170°'"):
        cover_probability(fit, 170.0, tolerance_deg=1.0, direction=Direction.UP)


def test_checks_name_detents_that_may_be_missed(fit: Fit) -> None:
    found = check_fit(
        fit, arc_deg=(-60, 60), detents=[("UP", -20.0, 0.1), ("MID", 0.0, 3.0), ("DN", 150.0, 1.0)]
    )
    by_rule = {finding.rule: finding for finding in found}
    assert set(by_rule) == {"detent-may-be-missed", "detent-not-calibrated"}
    assert "UP" in by_rule["detent-may-be-missed"].message
    assert by_rule["detent-not-calibrated"].severity is Severity.FAULT


def test_checks_name_a_fit_of_one_direction_and_many_suspects() -> None:
    one_way = fit_readings([r for r in sweep(21) if r.direction is Direction.UP])
    assert "reversal-unknown" in {f.rule for f in check_fit(one_way, arc_deg=(-60, 60))}
    readings = sweep(11)
    for row, off in ((3, 10.0), (8, -10.0), (13, 10.0), (18, -10.0)):
        readings = with_angle(readings, row, readings[row - 1].angle_deg + off)
    assert "many-suspect-rows" in {f.rule for f in check_fit(fit_readings(readings), arc_deg=(-60, 60))}


def test_a_good_fit_has_no_findings(fit: Fit) -> None:
    assert check_fit(fit, arc_deg=(-60, 60), detents=[("MID", 0.0, 3.0)]) == []


def test_the_same_drive_read_twice_has_not_moved() -> None:
    compared = compare_fits(fit_readings(sweep(16, seed=1)), fit_readings(sweep(16, seed=2)))
    assert not compared.more_than_chance
    assert "no more than chance" in compared.sentence()


def test_a_drive_that_has_moved_is_told_with_size_and_place() -> None:
    moved = tuple(r.model_copy(update={"angle_deg": r.angle_deg + 2.0}) for r in sweep(16, seed=2))
    compared = compare_fits(fit_readings(sweep(16, seed=1)), fit_readings(moved))
    assert compared.more_than_chance
    assert compared.largest_change_deg == pytest.approx(2.0, abs=0.6)
    assert compared.reversal_change_deg == pytest.approx(0.0, abs=0.5)


def test_fits_of_different_movements_are_not_compared(fit: Fit) -> None:
    with pytest.raises(FitError, match="the two fits cannot be compared"):
        compare_fits(fit, fit.model_copy(update={"kind": "stepper"}))


def test_fits_that_claim_to_be_exact_can_be_compared(fit: Fit) -> None:
    exact = (0.0,) * len(fit.knots.angle_deg)
    knots = fit.knots.model_copy(update={"standard_uncertainty_deg": exact})
    sure = fit.model_copy(update={"knots": knots})
    assert not compare_fits(sure, sure).more_than_chance


@pytest.mark.parametrize(
    ("place", "value", "says"),
    [
        (("figures", "readings"), "many", "figures.readings must be a whole number"),
        (("figures", "readings"), None, "figures.readings must be a whole number"),
        (("knots", "standard_uncertainty_deg", 3), -0.1, "must be greater than or equal to 0"),
        (("reversal_deg", "standard_uncertainty"), -0.1, "must be greater than or equal to 0"),
        (("repeatability_deg",), -0.1, "must be greater than or equal to 0"),
    ],
)
def test_a_fit_file_that_somebody_spoilt_is_refused_in_a_sentence(
    fit: Fit, place: tuple[str | int, ...], value: object, says: str
) -> None:
    data = json.loads(fit.model_dump_json())
    owner: Any = data
    for step in place[:-1]:
        owner = owner[step]
    owner[place[-1]] = value
    with pytest.raises(FitError, match=f"f.json: not a usable fit: .*{says}"):
        parse_fit(json.dumps(data).encode(), where="f.json")


def test_raw_values_and_commands_make_readings() -> None:
    pairs = parse_pairs("raw;command;direction\n0;1200,5;up\n65535;1800;down\n", where="p.csv")
    readings = readings_of_pairs(pairs, lambda raw: -50.0 + 100.0 * raw / 65535.0)
    assert [(r.command, r.angle_deg, r.held) for r in readings] == [
        (1200.5, -50.0, Held.ANGLE),
        (1800.0, 50.0, Held.ANGLE),
    ]
    with pytest.raises(ReadingsError, match="the column raw is missing"):
        parse_pairs("command,note\n1,2\n", where="p.csv")


def test_the_report_is_short_and_says_what_is_not_believed_and_not_known() -> None:
    readings = sweep(11)
    text = describe(fit_readings(with_angle(readings, 5, readings[4].angle_deg + 10)))
    assert "row 5" in text
    assert "misread by 10°" in text
    assert "repeatability not known" in text
    assert len(text.splitlines()) < 20


@pytest.mark.slow
def test_the_picture_is_a_whole_file_of_its_kind_and_the_same_every_time() -> None:
    readings = with_angle(sweep(11), 5, 30.0)
    fit = fit_readings(readings)
    pictures = {kind: plot_fit(fit, readings, file_format=kind) for kind in ("png", "pdf", "svg")}  # type: ignore[arg-type]
    assert pictures["png"].startswith(b"\x89PNG\r\n")
    assert pictures["pdf"].startswith(b"%PDF-")
    root = ElementTree.parse(BytesIO(pictures["svg"])).getroot()
    assert root.tag.endswith("svg")
    for kind, content in pictures.items():
        assert plot_fit(fit, readings, file_format=kind) == content  # type: ignore[arg-type]


@pytest.mark.slow
def test_a_fit_of_one_direction_and_one_of_cycles_can_be_drawn() -> None:
    for readings in (tuple(r for r in sweep(21) if r.direction is Direction.UP), cycles(4, 11)):
        assert plot_fit(fit_readings(readings), readings, file_format="svg").startswith(b"<?xml")


@pytest.mark.slow
def test_an_arc_shorter_than_its_lost_motion_can_be_drawn(fit: Fit) -> None:
    reversal = fit.reversal_deg.model_copy(update={"value": 80.0})
    picture = plot_fit(fit.model_copy(update={"reversal_deg": reversal}), sweep(16), file_format="svg")
    assert picture.startswith(b"<?xml")
