"""A made-up packet with every kind of sheet, written by hand: enough for the press, no plan needed."""

from dataclasses import replace
from datetime import date
from typing import Any

from packet.hookup.model import Drawing
from packet.sheets.model import (
    Ask,
    Content,
    CylinderAsks,
    Entry,
    Fill,
    FillSize,
    Front,
    Group,
    HookupSheet,
    Load,
    Log,
    LogRow,
    Owner,
    Plot,
    PrintedStep,
    Reasons,
    Record,
    RecordPart,
    RiseGrid,
    StageSteps,
    Steps,
    Stop,
    StopWeight,
    Strip,
    SwapLine,
    SwapSheet,
    Table,
    Tag,
    Tags,
    Tick,
    Vacuum,
    Wrong,
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
        day="Thursday, Nov 26, 2026",
        stops_title="Stop at, gross",
        stops=(
            StopWeight(
                "C-118", "61.4", "lb", entries(("Never above", "63.0 lb")), Entry("Weight BEFORE, expect", "33.5 lb"), 9
            ),
        ),
        stop_words=("As the scale reads.",),
        vacuum=Vacuum("Required vacuum", "0 psig or deeper", ("High pressure, under 200 lb.",)),
        glance=entries(("Refrigerant", "R-404A"), ("Charge", "38 lb"), ("Method", "Vapor")),
        who=entries(("Technician", "A. Example")),
        site=entries(("Site", "Cold store <b>bold & co</b>"), ("Address", "1 Example Way")),
        go=tuple(Tick(f"go.{n}", "initial", f"Caution number {n}: see to it.", "What to do.") for n in range(1, 5)),
        go_sign=(Ask("go.technician", "Go: technician"), Ask("go.time", "time", comb="dd:dd")),
        no_go="No-go: call 555-0100 and leave everything closed.",
        emergency=entries(("Emergency", "911")),
        first_aid=entries(("Eyes", "rinse")),
        notes=("A note.",),
        deferral=WORDS,
    )


def fill() -> Fill:
    rows = tuple(
        (f"{20 + 10 * n}", f"{40 + 20 * n}", f"{40.0 - n:.1f}", f"{61.4 - n:.1f}", "20.1", "61") for n in range(12)
    )
    plot = Plot(
        "Level rises from 61 to 95 percent between 20 and 131 °F",
        "°F",
        (tuple((20.0 + 5 * n, 61.0 + 2 * n) for n in range(23)),),
        (),
        tuple((float(n), str(n)) for n in (20, 60, 100, 130)),
        tuple((float(n), str(n)) for n in (0, 50, 80, 100)),
        "full",
        (110.0, "110 °F"),
    )
    table = Table("By temperature", ("°F", "psig", "Net", "Stop", "Room", "Level"), rows, 5)
    day = tuple((f"{60 + 2 * n}", f"{150 + n}.5", f"{149 + n}.5", f"{160 + n}.5") for n in range(17))
    size = FillSize(
        "C-118",
        entries(("C-118", "DOT-4BA400 · tare 27.5 lb")),
        table,
        (),
        plot,
        ("What sets the limit: 80 %.", "The quick rule gives 65.6 lb."),
        ("Do not use it.",),
    )
    strip = Strip("Today, psig", Table("", ("°F", "Liquid", "Vapor", "Air above"), day), ("Stand first.",))
    return Fill("Fill", "Fill: limits", (size,), strip)


def steps() -> Steps:
    made = [
        PrintedStep(f"1.{n}", f"step.1.{n}", f"Do thing number {n} and look at the gauge.", (), ())
        for n in range(1, 30)
    ]
    made[3] = replace(made[3], cautions=("Cold: gloves and glasses.",), writes=(7, 12))
    made[6] = replace(made[6], box="hold.1.7", hold=1)
    return Steps(
        "Steps",
        "Steps",
        "One line, one tick.",
        (StageSteps("1. Vapor", "Done when it holds.", tuple(made)),),
        (Reasons("Smell: OUT.", ("Call 555-0100.",)), Reasons("It trips.", ("Machine off, then inlet.",))),
    )


def swap() -> SwapSheet:
    lines = tuple(
        SwapLine(f"3.{n}", f"Line {n}.", (), (f"step.3.{n}.C-119", f"step.3.{n}.C-120"), ((9,), (10,)), n == 3)
        for n in range(1, 4)
    )
    weights = Table("Gross weights", ("Swap", "Off at"), (("C-118 to C-119", "61.4 lb"),))
    heads = ("C-118 to C-119", "C-119 to C-120")
    return SwapSheet("Swap", "Swap cylinders", "One sequence.", heads, weights, lines, ())


def record() -> Record:
    each = CylinderAsks(
        ("C-118", "C-119"),
        (("Weight BEFORE", (Ask("c.118", "Weight", "lb", number=3, comb="ddd.d"), Ask("c.119", "Weight", "lb", number=4))),),
    )  # fmt: skip
    return Record(
        "Record",
        "Record",
        "Type it in from top to bottom.",
        (
            RecordPart("", entries(("Technician", "A. Example")), ()),
            RecordPart("Who", (), (Ask("date", "Date of the work", number=1), Ask("ok", "Cleared", "", "check", number=2))),
            RecordPart("Cylinders", (), (), cylinders=each),
            RecordPart("Depth", (), (), grid=RiseGrid("Gauge at minute", "inHg", ("0", "5"))),
        ),
    )  # fmt: skip


def tags() -> Tags:
    owner = Owner("Owner's half", "For you.", (), (Ask("o.1", "Recovered", "lb", width="half"),), ("Keep it.",), ())
    tag = Tag("C-118", "R-404A", ("UN3337",), entries(("Date", "2026")), (Ask("t.net", "Net", "lb"),), "Warm.")
    return Tags("Tags and owner's half", "Tags", "Cut out.", ((tag,),), owner, True)


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
            HookupSheet(
                "Hookup",
                "Hookup: vapor",
                "Vapor from both sides.",
                Drawing(SVG, 150, 90, "Appliance, machine and cylinder joined by two hoses"),
                Table(
                    "Hoses",
                    ("Hose", "From", "To", "Line", "Shut-off", "Take"),
                    (("A", "appliance", "machine", "red, solid", "none", "H-R60"),),
                ),
                Table("Valves", ("Valve", "1", "2"), (("Machine inlet", "closed", "OPEN"),)),
            ),
            steps(),
            swap(),
            Wrong("When it goes wrong", "When it goes wrong", entries(("It trips", "Close."))),
            fill(),
            Log(
                "Log",
                "Log",
                "Every 5 minutes.",
                ("min", "Expect", "Gross", "Suction", "Discharge"),
                ((LogRow("", "", "Vapor into C-118"), LogRow("0", "33.5")), (LogRow("5", "40.1"), LogRow("", ""))),
                ("Stop at 61.4 lb.",),
            ),
            record(),
            Load(
                "Load",
                "Load",
                (Group("Kit", (Tick("truck.1", "check", "2 hoses"), Tick("truck.2", "check", "1 scale"))),),
                ("C-118 out 33.5 lb.",),
                Reasons("Vapor: why", ("No liquid port.",)),
            ),
            tags(),
        ),
        facts=entries(("Method", "vapor")),
        truck=("Truck T2: 103.5 lb of 440.0 lb.",),
    )  # fmt: skip
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
