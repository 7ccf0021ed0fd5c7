"""A made-up packet with every kind of sheet, written by hand: enough for the press, no plan needed."""

from dataclasses import replace
from datetime import date
from typing import Any

from packet.hookup.model import Blank, Drawing
from packet.sheets.model import (
    Ask,
    Content,
    Entry,
    Fill,
    Front,
    Grid,
    Group,
    HookupSheet,
    Log,
    Owner,
    Plot,
    Pressure,
    PrintedStep,
    Reasons,
    Record,
    RecordPart,
    StageSteps,
    Steps,
    Stop,
    Table,
    Tag,
    Tags,
    Tick,
    ValveRows,
)

WORDS = (
    "The maker's instructions, the safety data sheet, local codes and the licensed technician's judgment come first."
)
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="150mm" height="90mm" viewBox="0 0 150 90">'
    "<title>Appliance, machine and cylinder joined by two hoses</title>"
    '<path d="M10 10H60V40H10Z" fill="none" stroke="#000"/><text x="14" y="20" font-size="4">Appliance</text></svg>'
)


def entries(*pairs: tuple[str, str]) -> tuple[Entry, ...]:
    return tuple(Entry(label, value) for label, value in pairs)


def front() -> Front:
    return Front(
        name="Front",
        title="Recovery job HP-1041",
        day="Thursday, November 26, 2026",
        glance=entries(("Refrigerant", "R-404A"), ("Charge", "38 lb"), ("Draw down to", "0 psig")),
        who=entries(("Truck", "T2"), ("Technician", "A. Example")),
        site=entries(("Site", "Cold store <b>bold & co</b>"), ("Address", "1 Example Way")),
        appliance=entries(("Appliance", "Walk-in cooler"), ("Full charge", "38 lb")),
        go=tuple(Tick(f"go.{n}", "initial", f"Caution number {n}: see to it.", "What to do.") for n in range(1, 5)),
        go_sign=(Blank("go.time", "Go, time", ""),),
        no_go="No-go: call 555-0100 and leave everything shut.",
        method=Reasons("Liquid, then vapor", ("A liquid port is there.",)),
        rejected=(Reasons("Not push-pull", ("The charge is small.",)),),
        target=Reasons("Draw down to 0 psig", ("High pressure, under 200 lb.",)),
        cylinders=Table("Gross weights", ("Cylinder", "Stop at"), (("C-118", "61.4 lb"),)),
        times="About 40 minutes.",
        truck_left=(Group("Kit", (Tick("truck.1", "check", "2 hoses"), Tick("truck.2", "check", "1 scale"))),),
        truck_right=(Group("Protection", (Tick("truck.3", "check", "Gloves"),)),),
        emergency=entries(("Emergency", "911")),
        first_aid=entries(("Eyes", "rinse")),
        notes=("A note.",),
        deferral=WORDS,
    )


def fill() -> Fill:
    rows = tuple(
        (f"{20 + 10 * n} °F", f"{40.0 - n:.1f}", f"{61.4 - n:.1f}", "20.1", f"{40 + 20 * n}", "61") for n in range(12)
    )
    return Fill(
        name="Fill C-118",
        title="Fill C-118",
        stop_label="Stop at",
        stop="61.4",
        stop_unit="lb",
        stop_words="Gross weight, as the scale reads with the cylinder on it.",
        beside=entries(("Never above", "63.0 lb"), ("Change at", "60.2 lb")),
        identity=entries(("Stamps", "DOT-4BA400"), ("Tare", "27.5 lb")),
        weigh_in=(Blank("cylinders.C-118.bare", "Bare, before joining", "lb"),),
        facts=entries(("Liquid-full at", "150 °F")),
        governing="What sets the limit: 80 %.",
        quick_rule="The quick rule gives 65.6 lb.",
        quick_rule_warns=True,
        cautions=("Stop and cool at 300 psig.",),
        next_cylinder="Last cylinder.",
        table=Table("By temperature", ("Ambient", "Net limit", "Stop", "Room", "Pressure", "Level"), rows, 5),
        plot=Plot(
            "Level rises from 61 to 95 percent between 20 and 131 °F",
            "°F",
            tuple((20.0 + 5 * n, 61.0 + 2 * n) for n in range(23)),
            tuple((float(n), str(n)) for n in (20, 60, 100, 130)),
            tuple((float(n), str(n)) for n in (0, 50, 80, 100)),
            "full",
            (110.0, "110 °F"),
        ),
        deferral=WORDS,
    )


def steps() -> Steps:
    made = [
        PrintedStep(f"1.{n}", f"step.1.{n}", "do", f"Do thing number {n} and look at the gauge.", (), (), False)
        for n in range(1, 30)
    ]
    made[3] = replace(made[3], cautions=("Cold: gloves and glasses.",), blanks=(Blank("a.b", "Gross weight", "lb"),))
    made[6] = replace(made[6], kind="hold", initials=True)
    return Steps(
        "Steps",
        "Steps",
        (
            StageSteps(
                "1 Vapor", "Over when it holds.", tuple(made), (), entries(("It trips.", "Shut.")), ("Shut the inlet.",)
            ),
        ),
        WORDS,
    )


def content(**changes: Any) -> Content:
    """The whole made-up packet."""
    made = Content(
        job="HP-1041",
        language="en",
        paper="letter",
        units="US",
        on=date(2026, 11, 26),
        title="Recovery job HP-1041",
        head="HP-1041 · R-404A",
        foot="Example Mechanical · 555-0100",
        records_url="https://records.example.com",
        may_go_out=True,
        sheets=(
            front(),
            fill(),
            HookupSheet(
                "Hookup vapor",
                "Hookup: vapor",
                "Vapor from both sides.",
                Drawing(SVG, 150, 90, "Appliance, machine and cylinder joined by two hoses"),
                Table("Hoses", ("Hose", "From", "To"), (("A", "appliance", "machine"),)),
                (ValveRows(("1.1", "1.2", "1.4"), (("Machine inlet", ("shut", "OPEN", "·")),)),),
                "Valves",
                WORDS,
            ),
            steps(),
            Pressure(
                "Pressure",
                "Pressure",
                "At 640 ft.",
                Table(
                    "psig",
                    ("°F", "Bubble", "Dew"),
                    tuple((f"{n}", f"{n * 2}.5", f"{n * 2}") for n in range(-10, 140, 5)),
                ),
                Reasons("Air", ("Stand first.",)),
                (("C-118", (Blank("p.1", "Pressure", "psig"),)),),
                WORDS,
            ),
            Log(
                "Log",
                "Log",
                ("Every 5 minutes.",),
                (Grid("log", "While it runs", (("Time", 1), ("Gross\nlb", 1)), 12),),
                (),
            ),
            Record(
                "Record",
                "Record",
                "Type it in from top to bottom.",
                (
                    RecordPart(
                        "Who",
                        entries(("Technician", "A. Example")),
                        (Ask("date", "Date of the work"), Ask("ok", "Cleared", "", "check")),
                    ),
                ),
            ),
            Tags(
                "Tags",
                "Tags",
                "Cut out.",
                (
                    Tag(
                        "C-118",
                        "R-404A",
                        ("UN3337",),
                        entries(("Date", "2026")),
                        (Ask("t.net", "Net", "lb"),),
                        "Warm.",
                    ),
                ),
                Reasons("Truck", ("Under the limit.",)),
                Table("Load", ("Cylinder", "lb"), (("C-118", "61.4"),)),
            ),
            Owner(
                "Owner's copy", "Owner's copy", "For you.", (), (), (Ask("o.1", "Recovered", "lb"),), ("Keep it.",), ()
            ),
        ),
        facts=entries(("Method", "vapor")),
    )
    return replace(made, **changes)


def stop_content() -> Content:
    """A job that may not go out."""
    sheet = Stop(
        "Do not dispatch",
        "DO NOT DISPATCH",
        "This job may not go out.",
        entries(("Truck", "T2")),
        (Reasons("Cylinder C-118 is out of test.", ("Use C-121.",)),),
        (),
        WORDS,
    )
    return content(may_go_out=False, sheets=(sheet,))
