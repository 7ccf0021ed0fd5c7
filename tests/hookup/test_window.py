"""The pressure that is expected before anything is joined, and how wide it is said."""

from dataclasses import replace

from packet.hookup.request import request_from
from packet.hookup.stages.evacuate import _window
from tests.plan.builders import job, plan


def test_the_expected_pressure_of_an_estimate_is_as_wide_as_its_error() -> None:
    """R-408A is estimated to 4.5 % of the absolute pressure; 5 psi either way as for every gas (common practice)."""
    exact, estimated = (request_from(plan(job(name, 5.0))) for name in ("R-22", "R-408A"))
    assert exact is not None
    assert estimated is not None
    assert exact.pressure_error_percent == 0.0
    assert estimated.pressure_error_percent == 4.5
    row = next(item for item in estimated.bubble_rows if item.temperature_F == 75.0)
    narrow = _window(replace(estimated, pressure_error_percent=0.0))[0]
    wide = _window(estimated)[0]
    assert f"{row.bubble_psig + 5.0:.0f} psig" in narrow
    assert f"{row.bubble_psig + 5.0 + 0.045 * (row.bubble_psig + 14.696):.0f} psig" in wide
    assert f"{row.dew_psig - 5.0 - 0.045 * (row.dew_psig + 14.696):.0f}" in wide
