"""Sketches of a request's drawings, for the tests of geometry and ink."""

from dataclasses import replace

from packet.hookup.drawing.layout import lay_out
from packet.hookup.drawing.shapes import Sketch
from packet.hookup.hose_list import service_hoses
from packet.hookup.program import program_of
from packet.hookup.request import CylinderNeed, Request
from packet.hookup.rig import build_rig
from packet.hookup.rules import rules_of
from packet.hookup.walk import walk

LONG = "CYLINDER-2024-000118 NORTH YARD"


def sketches(request: Request) -> dict[str, Sketch]:
    """The geometry of every drawing of a request, by stage."""
    rig = build_rig(request)
    program = program_of(rig)
    after = walk(rig.bench, program, rules_of(request)).after
    found: dict[str, Sketch] = {}
    for block in program.blocks:
        service = service_hoses(rig, [item for item in program.blocks if item.layout == block.layout])
        for index, line in enumerate(block.lines):
            if line.running and block.kind in {"vapor", "liquid", "push-pull"}:
                on = request.cylinders[-1 if request.push_pull and block.kind == "vapor" else 0]
                found[block.kind] = lay_out(rig, after[block.number, index], block.kind, on, service)
    return found


def with_cylinders(request: Request, count: int, *, long_names: bool) -> Request:
    """The same job with so many cylinders like its first, all names as long as anyone will make them if asked."""
    first = request.cylinders[0]
    cylinders: list[CylinderNeed] = []
    # five digits: a scale that shows hundredths weighs no thousand pounds
    heaviest_lb = 261.4 if round(request.scale_step_lb * 10, 6) % 1 else 1261.4
    for index in range(count):
        last = index == count - 1
        cylinders.append(
            replace(
                first,
                id=f"{LONG} {index}" if long_names else f"{first.id}-{index}",
                change_at_gross_lb=None if last else 261.0,
                stop_gross_lb=heaviest_lb,
                planned_gross_lb=1055.0 if last else 261.0,
            )
        )
    if not long_names:
        return replace(request, cylinders=tuple(cylinders))
    return replace(
        request,
        cylinders=tuple(cylinders),
        machine="RECOVERY-MACHINE-NUMBER-ELEVEN OF THE SOUTH DEPOT",
        scale="PLATFORM-SCALE-NUMBER-FOURTEEN",
        refrigerant="R-1234ze(E) or whatever the plate may say",
        controls=request.controls.model_copy(
            update={"recover_vapor": "RECOVERY OF VAPOR, SLOW", "recover_liquid": "RECOVERY OF LIQUID, WITH CARE"}
        ),
    )
