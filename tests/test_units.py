"""Units against the exact factors of NIST SP 811 (2008), appendix B.8."""

import pytest

from shared.kit import units


@pytest.mark.parametrize(
    ("kind", "unit", "shown", "si"),
    [
        (units.DISTANCE, "yd", 1.0, 0.9144),  # yard: 9.144 E-01 m, exact.
        (units.DISTANCE, "m", 1.0, 1.0),
        (units.SPEED, "mph", 1.0, 0.44704),  # mile per hour: 4.4704 E-01 m/s, exact.
        (units.SPEED, "kmh", 3.6, 1.0),  # kilometre per hour: 2.777 778 E-01 m/s, that is 1/3.6.
        (units.SPEED, "kmh", 1.0, 0.2777778),
        (units.SPEED, "mps", 1.0, 1.0),
        (units.MASS, "lb", 1.0, 0.45359237),  # pound (avoirdupois): 4.535 923 7 E-01 kg, exact.
        (units.MASS, "kg", 1.0, 1.0),
    ],
)
def test_against_nist(kind, unit, shown, si):
    assert kind[unit].to_si(shown) == pytest.approx(si, rel=1e-7)
    assert kind[unit].from_si(si) == pytest.approx(shown, rel=1e-7)


@pytest.mark.parametrize("kind", [units.DISTANCE, units.SPEED, units.MASS])
@pytest.mark.parametrize("value", [0.0, 0.1, 1.0, 47.3, 112.65, 299.9])
def test_there_and_back(kind, value):
    for unit in kind.values():
        assert unit.from_si(unit.to_si(value)) == pytest.approx(value, rel=1e-14, abs=0)


def test_whole_figures_stay_whole():
    """100 yd is 91.44 m and reads as 100 yd again, not 99.99999999999999."""
    assert units.DISTANCE["yd"].to_si(100) == 91.44
    assert units.distance(91.44, "yd", places=3) == "100.000 yd"
    assert units.SPEED["kmh"].from_si(10.0) == 36.0


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        (units.distance(100.0, "m"), "100 m"),
        (units.distance(100.0, "yd"), "109 yd"),
        (units.speed(44.704, "mph"), "100.0 mph"),
        (units.speed(44.704, "kmh"), "160.9 km/h"),
        (units.speed(44.704, "mps", places=2), "44.70 m/s"),
        (units.mass(80.0, "lb"), "176.4 lb"),
        (units.distance(-3.0, "m"), "−3 m"),
        (units.distance(-0.0001, "m"), "0 m"),
    ],
)
def test_as_people_read_them(said, expected):
    assert said == expected


def test_a_unit_that_is_none_is_refused():
    with pytest.raises(KeyError):
        units.distance(1.0, "furlong")
