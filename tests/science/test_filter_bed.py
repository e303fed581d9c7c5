"""The filter: area from curd, time by Darcy's law from a run that is known."""

from __future__ import annotations

import pytest

from advisor.science.curd_yield import curd_mass, curd_moisture
from advisor.science.filter_bed import (
    BED_DEPTH,
    KNOWN_RUN,
    bed_area,
    bed_depth,
    bed_hours,
    filter_width,
    usual_area,
)

CURD = curd_mass(200.0, "whole", curd_moisture().value)  # of 1 L at 4 : 1


def test_the_known_run_is_found_again():
    """A litre at 4 : 1 on a bed of the usual depth takes what practice says: 2 to 3 hours."""
    hours = bed_hours(1000.0, CURD, bed_area(CURD))
    assert hours.value == pytest.approx(KNOWN_RUN.value)
    assert hours.low <= 2.0
    assert hours.high >= 3.0


def test_area_with_the_batch_keeps_the_time():
    """Twenty times the batch on twenty times the area takes as long."""
    hours = bed_hours(20_000.0, 20 * CURD, bed_area(20 * CURD))
    assert hours.value == pytest.approx(KNOWN_RUN.value)


def test_the_same_filter_takes_the_square_of_the_time():
    """Twice the batch on the same filter: twice the volume through twice the depth (Darcy)."""
    area = bed_area(CURD)
    once = bed_hours(1000.0, CURD, area).value
    twice = bed_hours(2000.0, 2 * CURD, area).value
    assert twice == pytest.approx(4.0 * once)


def test_area_and_depth_undo_each_other():
    """The bed of an area has the depth that the area was asked for."""
    assert bed_depth(CURD, bed_area(CURD, 1.2)) == pytest.approx(1.2)
    assert BED_DEPTH.low < BED_DEPTH.value < BED_DEPTH.high


def test_a_round_filter_has_its_area():
    """A sieve of 20 cm has 314 cm2."""
    assert filter_width(314.159) == pytest.approx(20.0, abs=1e-4)


def test_the_usual_area_is_that_of_the_known_run():
    """A litre has the area of the known run, ten litres ten times that."""
    assert usual_area(1000.0) == pytest.approx(bed_area(CURD))
    assert usual_area(10_000.0) == pytest.approx(10.0 * usual_area(1000.0))


@pytest.mark.parametrize("area", [0.0, -3.0, float("nan")])
def test_no_filter_is_refused(area):
    """A filter without area passes nothing."""
    with pytest.raises(ValueError, match="area"):
        bed_hours(1000.0, CURD, area)
