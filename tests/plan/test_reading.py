"""In which language a packet is: the nearest that says so wins."""

from dataclasses import replace

import pytest

from packet.plan.reading import Reading, reading_of
from tests.plan.builders import demo_plans

PLAN = next(demo_plans("2026-11-26"))
Said = dict[str, object]


@pytest.mark.parametrize(
    ("shop", "technician", "job", "expected"),
    [
        ({}, {}, {}, Reading("en")),
        ({"language": "es"}, {}, {}, Reading("es")),
        ({}, {"language": "es"}, {}, Reading("es")),
        ({"language": "es"}, {"language": "en"}, {}, Reading("en")),
        ({}, {"language": "es"}, {"language": "en"}, Reading("en")),
        # two: the first in the reader's language
        ({}, {}, {"languages": ("en", "es")}, Reading("en", "es")),
        ({}, {"language": "es"}, {"languages": ("en", "es")}, Reading("es", "en")),
        ({"languages": ("en", "es")}, {"language": "es"}, {}, Reading("es", "en")),
        ({"languages": ("en", "es")}, {}, {"language": "es"}, Reading("es", "en")),
        # the nearest pair; one alone takes a pair back
        ({"languages": ("en", "es")}, {}, {"languages": ("es",)}, Reading("es")),
        ({"languages": ("en", "es")}, {"language": "fr"}, {}, Reading("fr")),
        ({"language": "fr"}, {}, {"languages": ("es", "en")}, Reading("es", "en")),
    ],
)
def test_the_nearest_wins(shop: Said, technician: Said, job: Said, expected: Reading) -> None:
    plan = PLAN
    registers = plan.registers.model_copy(update={"shop": plan.registers.shop.model_copy(update=shop)})
    assert plan.technician is not None
    plan = replace(
        plan,
        registers=registers,
        technician=plan.technician.model_copy(update=technician),
        job=plan.job.model_copy(update=job),
    )
    assert reading_of(plan) == expected


def test_without_a_known_technician_it_is_the_shops() -> None:
    assert reading_of(replace(PLAN, technician=None)) == Reading("en")
