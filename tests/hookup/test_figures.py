"""Figures as a reader sees them, against hand conversions (NIST SP 811 factors, from memory)."""

from packet import figures


def test_weights() -> None:
    assert figures.show_weight(61.4, "US") == "61.4 lb"
    assert figures.show_weight(61.4, "SI") == "27.85 kg"  # 61.4 x 0.45359237 = 27.8506
    assert figures.show_weight(61.45, "US", 2) == "61.45 lb"


def test_pressures() -> None:
    assert figures.show_pressure(245.4, "US") == "245 psig"
    assert figures.show_pressure(245.4, "SI") == "16.9 barg"  # 245.4 / 14.5038
    assert figures.show_pressure(-0.2, "US") == "0 psig"
    assert figures.show_gauge(-3.0, "US") == "6.1 inHg vacuum"  # 3 x 2.03602
    assert figures.show_gauge(-3.0, "SI") == "20.7 kPa vacuum"
    assert figures.show_gauge(12.0, "US") == "12 psig"
    assert figures.show_gauge(-0.1, "US") == "0 psig"


def test_a_vacuum_is_rounded_to_the_deeper_side_and_never_below_nothing() -> None:
    assert figures.show_vacuum(10.41, "US") == "10.5 inHg vacuum"
    assert figures.show_vacuum(10.4, "US") == "10.4 inHg vacuum"
    assert figures.show_vacuum(10.4, "SI") == "35.3 kPa vacuum"  # 10.4 x 3.386389 = 35.2184
    assert figures.show_vacuum(0.0, "US") == "0 psig"
    assert figures.show_vacuum(-1.0, "SI") == "0 barg"


def test_absolute_pressures() -> None:
    # 25 mmHg is 0.4834 psi
    assert figures.show_absolute(0.48342, "US") == "25 mmHg absolute"
    assert figures.show_absolute(0.48342, "SI") == "3.3 kPa absolute"


def test_temperatures_lengths_and_rooms() -> None:
    assert figures.show_temperature(131, "US") == "131 °F"
    assert figures.show_temperature(131, "SI") == "55 °C"
    assert figures.show_length(5, "US") == "5 ft"
    assert figures.show_length(4.92, "US") == "4.9 ft"
    assert figures.show_length(5, "SI") == "1.5 m"
    assert figures.show_room(1900, "SI") == "54 m³"
    assert figures.show_bore(0.375, "US") == "3/8 in"
    assert figures.show_bore(0.29, "US") == "0.29 in"
    assert figures.show_bore(0.375, "SI") == "9.5 mm"
    assert figures.show_rate(14.0, "US") == "14.0 lb/min"
    assert figures.show_rate(14.0, "SI") == "6.35 kg/min"


def test_less_than_one_pound_keeps_another_decimal() -> None:
    """A small appliance of 0.33 lb has to give 90 % of it: the two may not read the same."""
    assert figures.show_weight(0.33, "US") == "0.33 lb"
    assert figures.show_weight(0.9 * 0.33, "US") == "0.30 lb"
    assert (figures.show_weight(0.0, "US"), figures.show_weight(61.4, "US"), figures.show_weight(61.4, "SI")) == (
        "0.0 lb",
        "61.4 lb",
        "27.85 kg",
    )
