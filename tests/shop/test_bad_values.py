"""Every kind of slip in a value: the file, line and field are exact, the sentence says what is wrong, and it is one."""

from typing import Protocol

import pytest

from packet.shop.problems import Problem

JOB = "2026-11-26/J-1.yaml"
SECRET = "kq3-Vp0xZ9-tRm7uWd2-aLf8"
CYLINDER = "spec: DOT-4BA400, water_capacity_lb: 47.6, tare_lb: 27.5"


class Shop(Protocol):
    def change(self, name: str, old: str, new: str) -> None: ...

    def problems(self) -> tuple[Problem, ...]: ...


# file, what stands there, what is typed instead, line, field, what the message says
SLIPS = [
    # wrong type
    (JOB, "truck: T1", "truck: T1\nprint: huge", 4, "print", "'huge'"),
    (JOB, "truck: T1", "truck: T1\nlanguage: spanish", 4, "language", "There is no catalogue for the language 'spanish'. Known: en"),
    (JOB, "truck: T1", "truck: T1\nlanguages: [en, spanish]", 4, "languages[1]", "There is no catalogue for the language 'spanish'"),
    (JOB, "truck: T1", "truck: T1\nlanguages: [en, en]", 4, "languages[1]", "'en' is listed twice"),
    (JOB, "truck: T1", "truck: T1\nlanguage: en\nlanguages: [es]", 5, "languages", "'language' is en, which is not one of these"),
    ("technicians.yaml", "certification: universal", "certification: universal\n  language: ''", 7, "[bob].language", "There is no catalogue"),
    (JOB, "charge_lb: 38", "charge_lb: heavy", 18, "appliance.charge_lb", "'heavy' is not a number"),
    (JOB, "charge_lb: 38", "charge_lb: 38,5", 18, "appliance.charge_lb", "write a dot for the decimal, 38.5"),
    (JOB, "room_ft3: 1900", "room_ft3: 1,900", 13, "site.room_ft3", "write 1900 without the comma"),
    (JOB, "charge_lb: 38", "charge_lb: 38 lb", 18, "appliance.charge_lb", "without the unit"),
    (JOB, "charge_lb: 38", "charge_lb: [38]", 18, "appliance.charge_lb", "One value is expected here"),
    (JOB, "charge_lb: 38", "charge_lb: {a: 38}", 18, "appliance.charge_lb", "One value is expected here"),
    (JOB, "charge_lb: 38", "charge_lb: 0x26", 18, "appliance.charge_lb", "'0x26' is not a number"),
    (JOB, "charge_lb: 38", "charge_lb: 3_8", 18, "appliance.charge_lb", "'3_8' is not a number"),
    (JOB, "charge_lb: 38", "charge_lb: ٣٨", 18, "appliance.charge_lb", "'٣٨' is not a number"),
    (JOB, "charge_lb: 38", "charge_lb: 38\n  receiver: maybe", 19, "appliance.receiver", "neither yes nor no"),
    (JOB, "charge_lb: 38", "charge_lb: 38\n  receiver: 1", 19, "appliance.receiver", "neither yes nor no"),
    (JOB, "cylinders: [C-1, C-2]", "cylinders: {C-1: C-2}", 8, "cylinders", "A list of words is expected"),
    (JOB, "site:\n  name: A shop\n  elevation_ft: 640\n  space: basement\n  room_ft3: 1900\n", "site: A shop\n", 9, "site", "A block of 'key: value' lines is expected"),
    ("machines.yaml", "count: 6", "count: 6.5", 11, "kit.hoses[H-1].count", "'6.5' is not a whole number"),
    ("machines.yaml", "scales:\n  - {id: SC-1, capacity_lb: 220, resolution_lb: 0.1}\n", "scales: SC-1\n", 7, "scales", "A list is expected here"),
    # a gas by its composition
    (JOB, "refrigerant: R-404A", "refrigerant: {R-22: 62, R-407C: 30}", 17, "appliance.refrigerant", "add up to 92 percent"),
    (JOB, "refrigerant: R-404A", "refrigerant: {R-22: 62, air: 38}", 17, "appliance.refrigerant.air", "There is no refrigerant 'air'"),
    (JOB, "refrigerant: R-404A", "refrigerant:\n    R-22: 62\n    R-40C: 38", 19, "appliance.refrigerant.R-40C", "Did you mean R-"),
    (JOB, "refrigerant: R-404A", "refrigerant:\n    R-22: 62\n    R22: 38", 19, "appliance.refrigerant.R22", "R-22 is named twice"),
    (JOB, "refrigerant: R-404A", "refrigerant: {R-22: most, R-407C: 38}", 17, "appliance.refrigerant.R-22", "'most' is not a number"),
    (JOB, "refrigerant: R-404A", "refrigerant: {R-22: [62], R-407C: 38}", 17, "appliance.refrigerant.R-22", "A number of percent is expected"),
    (JOB, "refrigerant: R-404A", "refrigerant: {R-22: 62, R-407C: }", 17, "appliance.refrigerant.R-407C", "A number of percent is expected"),
    (JOB, "refrigerant: R-404A", "refrigerant: {R-22: 62, R-407C: 38, basis: volume}", 17, "appliance.refrigerant.basis", "Use one of: mass, mole"),
    (JOB, "refrigerant: R-404A", "refrigerant: {R-22: 62, R-407C: 38}", 17, "appliance.refrigerant", "whose analysis"),
    (JOB, "refrigerant: R-404A", "refrigerant: [R-22, R-407C]", 17, "appliance.refrigerant", "One value is expected here"),
    (JOB, "refrigerant: R-404A", "refrigerant: {}", 17, "appliance.refrigerant", "A composition names its parts"),
    ("cylinders.yaml", "refrigerant: R-404A", "refrigerant: {R-22: 62, R-404A: 30}", 6, "[C-1].refrigerant", "add up to 92 percent"),
    # missing
    (JOB, "  charge_lb: 38\n", "", 14, "appliance.charge_lb", "'charge_lb' is missing"),
    (JOB, "charge_lb: 38", "charge_lb:", 18, "appliance.charge_lb", "A value is missing after 'charge_lb:'"),
    (JOB, "technician: ann\n", "", 1, "technician", "'technician' is missing"),
    (JOB, "  name: A shop", '  name: ""', 10, "site.name", "This may not be empty"),
    ("cylinders.yaml", "  spec: DOT-4BA400\n  water_capacity_lb: 47.6\n  tare_lb: 27.5\n  tested", "  water_capacity_lb: 47.6\n  tare_lb: 27.5\n  tested", 1, "[C-1].spec", "'spec' is missing"),
    ("technicians.yaml", "  certification: universal\n", "", 4, "[bob].certification", "'certification' is missing"),
    # unknown key, both units, twice
    (JOB, "charge_lb: 38", "charge_lbs: 38", 18, "appliance.charge_lbs", "Did you mean 'charge_lb'?"),
    (JOB, "elevation_ft: 640", "elevation_feet: 640", 11, "site.elevation_feet", "Did you mean 'elevation_ft'?"),
    (JOB, "  charge_lb: 38\n", "charge_lb: 38\n", 18, "charge_lb", "It belongs under 'appliance:'"),
    (JOB, "  charge_lb: 38\n", "charge_kg: 38\n", 18, "charge_kg", "It belongs under 'appliance:'"),
    (JOB, "  hottest_F: 110", "  hottest_F: 110\n  truck: T1", 25, "conditions.truck", "'truck' is not a key here"),
    (JOB, "cylinders: [C-1, C-2]", "cylinders: C-1, C-2", 8, "cylinders", "Write [C-1, C-2]"),
    ("technicians.yaml", "[type-II]", "type-I, type-II", 3, "[ann].certification", "Write [type-I, type-II]"),
    (JOB, "charge_lb: 38", "charge_lb: 38\n  charge_kg: 17", 19, "appliance.charge_kg", "'charge_lb' is on line 18"),
    (JOB, "charge_lb: 38", "charge_lb: 38\n  charge_lb: 39", 19, "charge_lb", "the first is on line 18"),
    ("machines.yaml", "rates_lb_per_min: {liquid: 4, vapor: 0.4}", "rates_lb_per_min: {liquid: 4}\n    rates_kg_per_min: {vapor: 1}", 6, "machines[RM-1].rates_kg_per_min", "Given in both units"),
    # words
    (JOB, "space: basement", "space: Cellar", 12, "site.space", "Use one of: basement, machinery-room"),
    (JOB, "kind: walk-in", "kind: walkin", 16, "appliance.kind", "Did you mean 'walk-in'?"),
    ("machines.yaml", "[medium, high]", "[medium, hihg]", 4, "machines[RM-1].pressure_classes[1]", "Did you mean 'high'?"),
    ("technicians.yaml", "certification: universal", "certification: type-IV", 6, "[bob].certification", "Use one of: type-I, type-II"),
    ("technicians.yaml", "[type-II]", "[apprentice, type-II]", 3, "[ann].certification", "not an apprentice"),
    (JOB, "charge_lb: 38", "charge_lb: 38\n  ports: {liquid: shrader}", 19, "appliance.ports.liquid", "Did you mean 'schrader'?"),
    (JOB, "charge_lb: 38", "charge_lb: 38\n  ports: [gas]", 19, "appliance.ports", "The ports are 'liquid' and 'vapor'"),
    (JOB, "charge_lb: 38", "charge_lb: 38\n  ports: {suction: schrader}", 19, "appliance.ports.suction", "'suction' is not a key here"),
    # dates and times that do not exist
    (JOB, "date: 2026-11-26", "date: 2026-02-30", 2, "date", "The date 2026-02-30 does not exist"),
    (JOB, "date: 2026-11-26", "date: 11/26/2026", 2, "date", "is not a date"),
    (JOB, "date: 2026-11-26", "date: 2026-11-25", 2, "date", "its folder is '2026-11-26'"),
    (JOB, "date: 2026-11-26", "date: 1026-11-26", 2, "date", "The year 1026 cannot be meant"),
    (JOB, "start: 08:30", "start: 25:61", 7, "start", "There is no time 25:61"),
    (JOB, "start: 08:30", "start: 8.30", 7, "start", "is not a time"),
    (JOB, "start: 08:30", "start: 8:30 am", 7, "start", "is not a time"),
    ("cylinders.yaml", "tested: 2023-04", "tested: 2023-13", 5, "[C-1].tested", "There is no month 13"),
    ("cylinders.yaml", "tested: 2023-04", "tested: 1823-04", 5, "[C-1].tested", "The year 1823 cannot be meant"),
    ("cylinders.yaml", "tested: 2023-04", "tested: 04/2023", 5, "[C-1].tested", "is not a month"),
    ("cylinders.yaml", "tested: 2023-04", "tested: 2027-04", 5, "[C-1].tested", "after the job's day"),
    ("cylinders.yaml", "made: 2024-01", "made: 2024-01\n  tested: 2023-12", 13, "[C-2].made", "tested in 2023-12, before that"),
    # values that cannot be
    (JOB, "charge_lb: 38", "charge_lb: -3", 18, "appliance.charge_lb", "-3 is negative, which this cannot be"),
    (JOB, "charge_lb: 38", "charge_lb: 0", 18, "appliance.charge_lb", "0 is below 0.001"),
    (JOB, "charge_lb: 38", "charge_lb: 1e-300", 18, "appliance.charge_lb", "1e-300 is below 0.001"),
    (JOB, "charge_lb: 38", "charge_lb: nan", 18, "appliance.charge_lb", "'nan' is not a number"),
    (JOB, "charge_lb: 38", "charge_lb: .inf", 18, "appliance.charge_lb", "'.inf' is not a number"),
    (JOB, "charge_lb: 38", "charge_lb: 1e400", 18, "appliance.charge_lb", "too large a number"),
    (JOB, "charge_lb: 38", "charge_kg: -3", 18, "appliance.charge_kg", "-3 is negative, which this cannot be"),
    (JOB, "charge_lb: 38", "charge_kg: 1e300", 18, "appliance.charge_kg", "is above 22679.62, the most that can be meant"),
    (JOB, "elevation_ft: 640", "elevation_ft: 90000", 11, "site.elevation_ft", "90000 is above 20000"),
    (JOB, "elevation_ft: 640", "elevation_m: 9000", 11, "site.elevation_m", "9000 is above 6096"),
    (JOB, "ambient_F: 78", "ambient_F: 500", 23, "conditions.ambient_F", "500 is above 140"),
    (JOB, "ambient_F: 78", "ambient_C: 60.5", 23, "conditions.ambient_C", "60.5 is above 60"),
    (JOB, "ambient_F: 78", "ambient_F: -60", 23, "conditions.ambient_F", "-60 is below -40"),
    (JOB, "hottest_F: 110", "hottest_F: 70", 24, "conditions.hottest_F", "The hottest temperature is below the ambient one"),
    (JOB, "isolated_charge_lb:", "isolated_charge_lb: 39", 21, "work.isolated_charge_lb", "more than the whole charge"),
    (JOB, "reason: repair", "reason: repair\n  burnout: yes", 22, "work.burnout", "does not run"),
    (JOB, "reason: repair", "reason: repair\n  receiver_capacity_lb: 60", 21, "work.receiver_capacity_lb", "'receiver: yes' is not said"),
    (JOB, "reason: repair", "reason: repair\n  isolated_by: valve", 21, "work.isolated_by", "Did you mean 'valves'?"),
    (JOB, "reason: repair", "reason: repair\n  disposition: sold", 21, "work.disposition", "Use one of: open, same-appliance"),
    (JOB, "reason: repair", "reason: repair\n  oil_change: yes", 21, "work.oil_change", "write 'major: no'"),
    (JOB, "reason: repair", "reason: repair\n  oil_change: perhaps", 21, "work.oil_change", "neither yes nor no"),
    (JOB, "kind: walk-in", "kind: walk-in\n  use: retail", 17, "appliance.use", "Did you mean 'retail-food'?"),
    ("machines.yaml", "[medium, high]", "[medium, high]\n    system_dependent: 1", 5, "machines[RM-1].system_dependent", "neither yes nor no"),
    ("shop.yaml", "van_hottest_F: 125", "scrap_certification: type-II", 6, "policy.scrap_certification", "Use one of: none, type-I"),
    ("cylinders.yaml", "max_gross_lb: 70", "max_gross_lb: 20", 8, "[C-1].max_gross_lb", "not above the tare"),
    ("cylinders.yaml", "contents_lb: 2.5", "contents_lb: 80", 7, "[C-1].contents_lb", "No refrigerant is so heavy"),
    ("cylinders.yaml", "refrigerant: R-404A", "refrigerant: empty", 7, "[C-1].contents_lb", "empty and evacuated"),
    ("cylinders.yaml", "made: 2024-01", "made: 2024-01\n  out_of_service: no", 14, "[C-2].out_of_service", "Give the reason in words"),
    ("cylinders.yaml", "made: 2024-01", "made: 2024-01\n  valves: []", 14, "[C-2].valves", "This may not be empty"),
    ("machines.yaml", "resolution_lb: 0.1", "resolution_lb: 0", 8, "scales[SC-1].resolution_lb", "0 is below 0.001"),
    ("machines.yaml", "capacity_lb: 220", "capacity_lb: 0.5", 8, "scales[SC-1].resolution_lb", "more than a tenth"),
    ("shop.yaml", "van_hottest_F: 125", "fill_ceiling_percent: 85", 6, "policy.fill_ceiling_percent", "85 is above 80"),
    ("shop.yaml", "van_hottest_F: 125", "table_to_F: 10", 6, "policy.table_to_F", "must end above"),
    ("shop.yaml", "van_hottest_F: 125", "table_step_F: 2", 6, "policy.table_step_F", "more than 25 rows"),
    # references and ids
    (JOB, "technician: ann", "technician: anna", 4, "technician", "Did you mean 'ann'?"),
    (JOB, "truck: T1", "truck: X9", 3, "truck", "There is no truck 'X9' in shop.yaml. Known: T1."),
    (JOB, "machine: RM-1", "machine: RM-2", 5, "machine", "Did you mean 'RM-1'?"),
    (JOB, "scale: SC-1", "scale: SC-7", 6, "scale", "There is no scale 'SC-7' in machines.yaml"),
    (JOB, "[C-1, C-2]", "[C-1, C-3]", 8, "cylinders[1]", "There is no cylinder 'C-3' in cylinders.yaml"),
    (JOB, "[C-1, C-2]", "[C-1, C-1]", 8, "cylinders[1]", "'C-1' is listed twice"),
    (JOB, "technician: ann", "technician: ann\nsupervisor: ann", 5, "supervisor", "must be another person"),
    (JOB, "technician: ann", "technician: ann\nsecond: ann", 5, "second", "must be another than the technician"),
    (JOB, "technician: ann", "technician: ann\nsupervisor: carl", 5, "supervisor", "There is no technician 'carl'"),
    ("cylinders.yaml", "made: 2024-01\n", f"made: 2024-01\n- {{id: C-1, {CYLINDER}}}\n", 14, "[C-1].id", "used twice; first on line 1"),
    ("cylinders.yaml", "made: 2024-01\n", f"made: 2024-01\n- {{id: c-1, {CYLINDER}}}\n", 14, "[c-1].id", "used twice; first on line 1"),
    ("machines.yaml", "count: 6", "count: 99999999999", 11, "kit.hoses[H-1].count", "99999999999 is above 999"),
    ("machines.yaml", "scales:\n", "scales:\n  - {id: SC-1, capacity_lb: 220, resolution_lb: 0.1}\n", 9, "scales[SC-1].id", "used twice"),
    (JOB, "job: J-1", "job: J-2", 1, "job", "its file is 'J-1.yaml'"),
    (JOB, "job: J-1", "job: ../J-1", 1, "job", "cannot be an id"),
    (JOB, "job: J-1", "job: /etc/J-1", 1, "job", "cannot be an id"),
    (JOB, "job: J-1", "job: .J-1", 1, "job", "cannot be an id"),
    (JOB, "job: J-1", "job: J-1.", 1, "job", "cannot be an id"),
    (JOB, "job: J-1", "job: J 1", 1, "job", "cannot be an id"),
    (JOB, "job: J-1", "job: J?1", 1, "job", "cannot be an id"),
    (JOB, "job: J-1", "job: nul", 1, "job", "keep that name for a device"),
    (JOB, "job: J-1", f"job: {'J' * 41}", 1, "job", "cannot be an id"),
    # refrigerants
    (JOB, "refrigerant: R-404A", "refrigerant: R-404X", 17, "appliance.refrigerant", "Did you mean R-404A"),
    (JOB, "refrigerant: R-404A", "refrigerant: beer", 17, "appliance.refrigerant", "Write its designation as on the plate, as R-410A"),
    (JOB, "refrigerant: R-404A", "refrigerant: [R-404A]", 17, "appliance.refrigerant", "One value is expected here"),
    # text
    (JOB, "name: A shop", 'name: "A\\x07shop"', 10, "site.name", "control character (U+0007)"),
    (JOB, "name: A shop", 'name: "A\\u202eshop"', 10, "site.name", "control character (U+202E)"),
    (JOB, "space: basement", 'space: basement\n  notes: "A\\x07shop"', 13, "site.notes", "control character (U+0007)"),
    (JOB, "name: A shop", 'name: "A\\nshop"', 10, "site.name", "one line"),
    (JOB, "name: A shop", f"name: {'A' * 81}", 10, "site.name", "too long: at most 80 characters"),
    # the records' address
    # in a unit that the files do not use
    (JOB, "charge_lb: 38", "charge_oz: 52", 18, "appliance.charge_oz", "Write 'charge_lb: 3.25'; 16 oz make 1 lb."),
    (JOB, "charge_lb: 38", "charge_g: 950", 18, "appliance.charge_g", "Write 'charge_kg: 0.95'; 1000 g make 1 kg."),
    (JOB, "charge_lb: 38", "charge_oz: some", 18, "appliance.charge_oz", "Write 'charge_lb:'; 16 oz make 1 lb."),
    (JOB, "room_ft3: 1900", "room_l: 53800", 13, "site.room_l", "Write 'room_m3: 53.8'; 1000 l make 1 m3."),
    (JOB, "charge_lb: 38", "charge_lb: 3 lb 4 oz", 18, "appliance.charge_lb", "write 3.25; 16 oz make 1 lb"),
    ("machines.yaml", "capacity_lb: 220", "capacity_oz: 3520", 8, "scales[SC-1].capacity_oz", "Write 'capacity_lb: 220'"),
    ("shop.yaml", "https://records.example/small", "records.example", 4, "records_url", "is not a web address"),
    ("shop.yaml", "https://records.example/small", "file:///etc/passwd", 4, "records_url", "is not a web address"),
    ("shop.yaml", "https://records.example/small", "javascript:alert(1)", 4, "records_url", "is not a web address"),
    ("shop.yaml", "https://records.example/small", "https://[::1", 4, "records_url", "is not a web address"),
    ("shop.yaml", "https://records.example/small", "https://records.example/?a=b", 4, "records_url", "nothing else"),
    ("shop.yaml", "https://records.example/small", f"https://records.example/{'a' * 60}", 4, "records_url", "has 84 characters"),
    ("shop.yaml", "policy:\n", "records_secret: short-one\npolicy:\n", 5, "records_secret", "Nobody may be able to guess this"),
    ("shop.yaml", "policy:\n", f"records_secret: {'ab' * 20}\npolicy:\n", 5, "records_secret", "not the same few again"),
    ("shop.yaml", "policy:\n", f"records_secret: {SECRET * 9}\npolicy:\n", 5, "records_secret", "20 to 200 letters"),
    ("shop.yaml", "policy:\n", f"records_secret: [{SECRET}]\npolicy:\n", 5, "records_secret", "One value is expected here"),
    ("shop.yaml", "example/small\n", f"example/{'a' * 20}\nrecords_secret: {SECRET}\n", 4, "records_url", "has room for 41"),
    ("shop.yaml", "policy:\n", "records_show: [site, door-code]\npolicy:\n", 5, "records_show[1]", "'door-code' is not one of the words"),
    ("shop.yaml", "policy:\n", "records_show: [site, site]\npolicy:\n", 5, "records_show[1]", "'site' is listed twice"),
    ("shop.yaml", "policy:\n", "language: xx\npolicy:\n", 5, "language", "no catalogue for the language 'xx'"),
]  # fmt: skip


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: f"{slip[2]}"[:40])
def test_a_slip_is_one_problem_in_its_place(small: Shop, slip: tuple[str, str, str, int, str, str]) -> None:
    file, old, new, line, field, says = slip
    small.change(file, old, new)
    if "burnout" in new:
        small.change(file, "charge_lb: 38", "charge_lb: 38\n  compressor_runs: yes")
    (problem,) = small.problems()
    assert problem.file.endswith(file)
    assert (problem.line, problem.field) == (line, field)
    assert says in f"{problem.message} {problem.suggestion}"


def test_the_small_shop_is_in_order(small: Shop) -> None:
    assert small.problems() == ()


def test_a_job_with_more_cylinders_than_a_truck_holds(small: Shop) -> None:
    more = "".join(f"- {{id: C{n}, {CYLINDER}}}\n" for n in range(21))
    small.change("cylinders.yaml", "  made: 2024-01\n", f"  made: 2024-01\n{more}")
    small.change(JOB, "[C-1, C-2]", f"[{', '.join(f'C{n}' for n in range(21))}]")
    assert [item.message for item in small.problems()] == ["This list is too long: at most 20."]


def test_all_problems_of_all_files_are_told_at_once(small: Shop) -> None:
    small.change(JOB, "charge_lb: 38", "charge_lb: -3")
    small.change(JOB, "machine: RM-1", "machine: RM-9")
    small.change(JOB, "start: 08:30", "start: 25:00")
    small.change("cylinders.yaml", "tested: 2023-04", "tested: 2023-13")
    small.change("technicians.yaml", "[type-II]", "[type-2]")
    small.change("shop.yaml", "phone: 555-0100\n", "")
    told = {(item.file.rsplit("/", 1)[-1], item.line, item.field) for item in small.problems()}
    assert told == {
        ("J-1.yaml", 5, "machine"),
        ("J-1.yaml", 7, "start"),
        ("J-1.yaml", 18, "appliance.charge_lb"),
        ("cylinders.yaml", 5, "[C-1].tested"),
        ("technicians.yaml", 3, "[ann].certification[0]"),
        ("shop.yaml", 1, "phone"),
    }


def test_a_problem_reads_as_one_line(small: Shop) -> None:
    small.change(JOB, "charge_lb: 38", "charge_lbs: 38")
    (problem,) = small.problems()
    assert str(problem).endswith(
        "2026-11-26/J-1.yaml:18 appliance.charge_lbs: 'charge_lbs' is not a key here. Did you mean 'charge_lb'?"
    )


def test_notes_may_run_over_lines(small: Shop) -> None:
    small.change(JOB, "space: basement", "space: basement\n  notes: |\n    Ring first.\n    Mind the step.")
    assert small.problems() == ()


@pytest.mark.parametrize("typed", ["<script>alert(1)</script>", "Ben & Sons", "{braces} {0} %s", "=cmd()", "a: 'b'"])
def test_markup_is_just_text(small: Shop, typed: str) -> None:
    quoted = typed.replace("'", "''")
    small.change(JOB, "name: A shop", f"name: '{quoted}'")
    assert small.problems() == ()


@pytest.mark.parametrize("typed", ["{braces}", "{0}", "100%", "{sentence}"])
def test_braces_in_a_wrong_value_do_not_upset_the_message(small: Shop, typed: str) -> None:
    small.change(JOB, "start: 08:30", f"start: '{typed}'")
    (problem,) = small.problems()
    assert typed in problem.message
