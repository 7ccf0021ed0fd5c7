"""What standards and regulations say of each refrigerant, against what can be worked out or is published."""

import math

import pytest

from packet.refrigerant.catalogue import Refrigerant, UnknownRefrigerant, everything, find
from packet.refrigerant.properties import NoProperties, properties
from packet.refrigerant.pure import PURE
from packet.units import PA_PER_PSI

# Every refrigerant the contractor's work list asks for.
ASKED_FOR = (
    "11 12 22 32 123 125 134a 143a 152a 290 600a 1270 717 744 1234yf 1234ze(E) 1233zd(E) 401A 402A 404A 407A 407C 407F"
    " 408A 409A 410A 414B 417A 421A 422B 422D 427A 437A 438A 448A 449A 450A 452A 452B 453A 454A 454B 454C 455A 458A"
    " 466A 500 502 507A 513A 514A 13 13B1 23 113 114 115 116 124 142b 227ea 236fa 245fa 503 508B"
)


@pytest.mark.parametrize("number", ASKED_FOR.split())
def test_every_refrigerant_asked_for_is_there_in_the_spellings_people_type(number: str) -> None:
    expected = f"R-{number}"
    for typed in (
        number,
        number.lower(),
        f"R{number}",
        f"r-{number.lower()}",
        f"R {number}",
        f"HFC-{number}",
        f" r_{number} ",
        f"Refrigerant {number}",
    ):
        assert find(typed).name == expected


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("R 410 A", "R-410A"),
        ("R1234ze(E)", "R-1234ze(E)"),
        ("hfo-1234ze", "R-1234ze(E)"),
        ("R-1233ZD", "R-1233zd(E)"),
        ("HCFC-22", "R-22"),
        ("CFC12", "R-12"),
        ("propane", "R-290"),
        ("CO2", "R-744"),
        ("R507", "R-507A"),
        ("R\u2011410A", "R-410A"),
        ("R \u2013\u00a0404A", "R-404A"),
    ],
)
def test_other_names(typed: str, name: str) -> None:
    assert find(typed).name == name


@pytest.mark.parametrize(
    ("typed", "suggested"), [("R-410B", "R-410A"), ("R-134", "R-134a"), ("R4O4A", "R-404A"), ("R-454", "R-454B")]
)
def test_an_unknown_name_brings_near_ones(typed: str, suggested: str) -> None:
    with pytest.raises(UnknownRefrigerant) as caught:
        find(typed)
    assert suggested in caught.value.suggestions
    assert typed in str(caught.value)


@pytest.mark.parametrize("typed", ["", "unknown", "mixed", "nitrogen", "R-"])
def test_what_is_no_refrigerant_is_not_taken_for_one(typed: str) -> None:
    with pytest.raises(UnknownRefrigerant):
        find(typed)


def test_no_two_refrigerants_answer_to_the_same_name() -> None:
    names = [item.name for item in everything()]
    assert len(names) == len(set(names))
    assert all(find(name).name == name for name in names)


@pytest.mark.parametrize("item", everything(), ids=lambda item: item.name)
def test_mass_fractions_add_up_to_one_and_every_part_is_in_the_catalogue(item: Refrigerant) -> None:
    assert math.isclose(sum(share for _, share in item.composition), 1.0, abs_tol=1e-9)
    assert all(share > 0.0 and find(part).composition == ((part, 1.0),) for part, share in item.composition)


def test_compositions_agree_with_the_property_librarys_own_table_of_blends() -> None:
    """Independent: CoolProp's predefined mixtures. Its table is typed to 4 or 5 digits in moles, so 0.05 % of mass."""
    from CoolProp.CoolProp import AbstractState

    compared = 0
    for item in everything():
        if not item.is_blend:
            continue
        try:
            state = AbstractState("HEOS", f"{item.name.replace('-', '')}.mix")
        except ValueError:
            continue  # it does not know the blend, or lacks a pair of it
        theirs = dict(zip(state.fluid_names(), state.get_mass_fractions(), strict=True))
        ours = {str(PURE[part].library): share for part, share in item.composition}
        assert {key.upper() for key in theirs} == {key.upper() for key in ours}
        for name, share in ours.items():
            assert theirs[name] == pytest.approx(share, abs=5e-4), item.name
        compared += 1
    assert compared >= 30


# IPCC AR4, 100 years, as the GHG Protocol lists it (sheet of 16 February 2016); the HFCs' are the exchange values of
# 42 U.S.C. 7675(c)(1) as well.
AR4_GWP = {
    "R-11": 4750, "R-12": 10900, "R-13": 14400, "R-13B1": 7140, "R-22": 1810, "R-23": 14800, "R-32": 675,
    "R-113": 6130, "R-114": 10000, "R-115": 7370, "R-116": 12200, "R-123": 77, "R-124": 609, "R-125": 3500,
    "R-134a": 1430, "R-142b": 2310, "R-143a": 4470, "R-152a": 124, "R-218": 8830, "R-227ea": 3220, "R-236fa": 9810,
    "R-245fa": 1030,
}  # fmt: skip


def test_warming_potentials_of_pure_halocarbons_are_those_of_the_fourth_report() -> None:
    """IPCC AR4, 100 years, as the GHG Protocol lists it; the HFCs' also 42 U.S.C. 7675(c)(1)."""
    assert {name: find(name).gwp100 for name in AR4_GWP} == AR4_GWP
    assert all("AR4" in find(name).gwp_source and "memory" not in find(name).gwp_source for name in AR4_GWP)
    # and of everything else the label says that it was not read
    others = [item for item in everything() if not item.is_blend and item.name not in AR4_GWP]
    assert all("from memory" in item.gwp_source for item in others)


# Published 100-year values of blends with IPCC AR4 components: from memory, as printed on data sheets.
PUBLISHED_GWP = {
    "R-401A": 1182, "R-402A": 2788, "R-404A": 3922, "R-407A": 2107, "R-407C": 1774, "R-407F": 1825, "R-408A": 3152,
    "R-409A": 1585, "R-410A": 2088, "R-414B": 1362, "R-417A": 2346, "R-421A": 2631, "R-422B": 2526, "R-422D": 2729,
    "R-427A": 2138, "R-437A": 1805, "R-438A": 2265, "R-448A": 1387, "R-449A": 1397, "R-450A": 605, "R-452A": 2140,
    "R-452B": 698, "R-453A": 1765, "R-454A": 239, "R-454B": 466, "R-454C": 148, "R-455A": 148, "R-458A": 1650,
    "R-466A": 733, "R-500": 8077, "R-502": 4657, "R-507A": 3985, "R-513A": 631, "R-515B": 293,
}  # fmt: skip


@pytest.mark.parametrize(("name", "published"), PUBLISHED_GWP.items())
def test_warming_potential_of_a_blend_is_that_of_its_parts(name: str, published: float) -> None:
    """Published values are rounded to whole numbers: 1 apart at most (hydrocarbons are counted as 3 to 5 or as 0)."""
    assert find(name).gwp100 == pytest.approx(published, abs=1.0)


# g/m3 printed beside lb per 1,000 ft3 in International Mechanical Code table 1103.1.
IMC_G_PER_M3 = {
    "R-11": 6.2, "R-12": 90, "R-22": 210, "R-23": 120, "R-32": 77, "R-113": 20, "R-114": 140, "R-115": 760,
    "R-116": 550, "R-123": 57, "R-124": 56, "R-125": 370, "R-134a": 210,
}  # fmt: skip
# The same pair from memory of ASHRAE 34.
ASHRAE_34_G_PER_M3 = {
    "R-290": 9.5, "R-600a": 9.6, "R-1234yf": 75, "R-404A": 500, "R-407C": 290, "R-410A": 420, "R-507A": 520,
    "R-454B": 49, "R-454A": 52, "R-454C": 71, "R-455A": 79, "R-452B": 77, "R-717": 0.22, "R-744": 54,
}  # fmt: skip


@pytest.mark.parametrize(("name", "grams"), (IMC_G_PER_M3 | ASHRAE_34_G_PER_M3).items())
def test_room_limit_agrees_with_the_metric_column(name: str, grams: float) -> None:
    """1 lb per 1,000 ft3 is 16.018 g/m3; both columns are rounded to two figures, which may add up to 8 %."""
    limit = find(name).room_limit_lb_per_1000ft3
    assert limit is not None
    assert limit * 16.018 == pytest.approx(grams, rel=0.08)


# Acute-toxicity exposure limits in ppm, ASHRAE 34, from memory.
ATEL_PPM = {
    "R-12": 18000, "R-22": 59000, "R-23": 41000, "R-32": 220000, "R-115": 120000, "R-116": 97000, "R-124": 10000,
    "R-125": 75000, "R-134a": 50000, "R-142b": 25000, "R-143a": 170000, "R-152a": 50000, "R-227ea": 90000,
    "R-236fa": 55000, "R-290": 50000, "R-600": 10000, "R-600a": 25000, "R-601": 1000, "R-601a": 1000, "R-744": 40000,
    "R-1234yf": 100000, "R-1234ze(E)": 59000, "R-13I1": 2000, "R-1336mzz(Z)": 13000, "R-1130(E)": 1000, "R-13": 100000,
}  # fmt: skip


@pytest.mark.parametrize("item", [item for item in everything() if item.is_blend], ids=lambda item: item.name)
def test_no_blends_room_limit_is_far_above_what_its_parts_add_up_to(item: Refrigerant) -> None:
    """ASHRAE 34 adds the parts' toxicity as the reciprocal sum over moles, capped at 140,000 ppm for want of oxygen
    (from memory). The standard's own figures, from fuller data, lie within a third above it; flammable ones, and those
    with a trace of pentane or butane, may lie far below, which is the safe side."""
    if item.room_limit_lb_per_1000ft3 is None:
        assert item.name == "R-503"
        return
    mass = {part: properties(find(part)).molar_mass_lb_per_lbmol for part, _ in item.composition}
    moles = {part: share / mass[part] for part, share in item.composition}
    total = sum(moles.values())
    ppm = min(140000.0, 1.0 / sum(share / total / ATEL_PPM[part] for part, share in moles.items()))
    # ideal gas at 25 degC and one atmosphere: 24.465 m3/kmol; 1 g/m3 is 0.062428 lb per 1,000 ft3
    added_up = ppm * 1e-6 / total / 24.465 * 1000.0 * 0.062428
    assert item.room_limit_lb_per_1000ft3 <= 1.35 * added_up


@pytest.mark.parametrize("item", everything(), ids=lambda item: item.name)
def test_the_transport_class_is_what_the_definition_of_a_gas_gives(item: Refrigerant) -> None:
    """49 CFR 171.8: a gas has more than 43.5 psia at 122 degF, or is wholly gas at 68 degF and one
    atmosphere. R-1233zd(E) is a gas by the second, R-11, R-113, R-123 and R-514A by neither."""
    try:
        values = properties(item)
    except NoProperties:
        assert item.name == "R-13B1"
        return
    above = values.highest_F < 122.0 or values.bubble_psia(122.0) > 300000.0 / PA_PER_PSI
    gas = above or values.boiling_F < 68.0
    assert (item.hazard_class is not None) == gas
    assert (item.un_number is None) == (item.proper_shipping_name is None) == (item.hazard_class is None)


@pytest.mark.parametrize("item", everything(), ids=lambda item: item.name)
def test_flammable_gas_is_class_2_1_and_unnamed_gases_carry_technical_names(item: Refrigerant) -> None:
    if item.hazard_class is not None and item.name not in {"R-1234ze(E)", "R-717"}:
        # those two burn by ASHRAE 34 and are 2.2 by 49 CFR 172.101 (from memory)
        assert (item.hazard_class == "2.1") == item.flammable
    if item.un_number in {"UN1078", "UN3161", "UN3163"}:
        assert item.proper_shipping_name is not None
        assert item.proper_shipping_name.endswith(")")
        assert "n.o.s. (" in item.proper_shipping_name


def test_shipping_names() -> None:
    """49 CFR 172.101: the rows of R-404A and of 'Refrigerant gases, n.o.s.'; that of UN3161 from memory."""
    assert find("R-404A").proper_shipping_name == "Refrigerant gas R 404A"
    assert find("R-454B").un_number == "UN3161"
    assert (
        find("R-454B").proper_shipping_name
        == "Liquefied gas, flammable, n.o.s. (difluoromethane, 2,3,3,3-tetrafluoropropene)"
    )
    assert find("R-410A").proper_shipping_name == "Refrigerant gases, n.o.s. (difluoromethane, pentafluoroethane)"


def test_shipping_names_that_carry_the_proportion() -> None:
    """49 CFR 172.101, as its three rows read: "Refrigerant gas R 500 with approximately 74 percent ..." and so on."""
    for name, number, percent, part in (
        ("R-500", "UN2602", 74, "dichlorodifluoromethane"),
        ("R-502", "UN1973", 49, "chlorodifluoromethane"),
        ("R-503", "UN2599", 60, "chlorotrifluoromethane"),
    ):
        item = find(name)
        assert item.un_number == number
        assert str(item.proper_shipping_name).endswith(f"with approximately {percent} percent {part}")
        # and the proportion is the blend's own, rounded
        assert round(100.0 * max(share for of, share in item.composition if PURE[of].chemical_name == part)) == percent


def test_a_blend_that_the_standard_has_not_classified_says_so() -> None:
    """ASHRAE 34 gives R-503 no group (from memory); its parts R-13 and R-23 are both A1."""
    assert find("R-503").safety_group == "A1"
    assert find("R-503").safety_group_source == (
        "ASHRAE 34 has not classified this blend: the group of its parts, from memory"
    )
    others = {item.safety_group_source for item in everything() if item.name != "R-503"}
    assert others == {"ASHRAE 34, from memory"}


def test_a_warming_potential_says_which_report_it_is_from() -> None:
    """IPCC AR4 of 2007 lists no fluorinated olefin (the GHG Protocol's sheet has none under it): theirs are of the EU's
    regulation of 2014."""
    for item in everything():
        named = ("AR4" in item.gwp_source, "AR5" in item.gwp_source, "517/2014" in item.gwp_source)
        parts = [PURE[part].gwp_source for part, _ in item.composition]
        assert named == tuple(any(report in source for source in parts) for report in ("AR4", "AR5", "517/2014"))
    assert "AR4" not in find("R-1234yf").gwp_source
    assert "AR4" in find("R-22").gwp_source


def test_gases_that_are_not_recovered_like_the_others_say_what_to_do_instead() -> None:
    assert {item.name for item in everything() if item.answer} == {"R-717", "R-744"}


def test_what_counts_as_ozone_depleting_or_hfc() -> None:
    """40 CFR part 82 subpart A, appendices A and B; 42 U.S.C. 7675(c)(1)."""
    assert all(find(name).ozone_depleting for name in ("R-11", "R-22", "R-123", "R-401A", "R-502", "R-13B1"))
    assert not any(find(name).ozone_depleting for name in ("R-134a", "R-410A", "R-1233zd(E)", "R-514A", "R-290"))
    assert all(find(name).hfc for name in ("R-32", "R-404A", "R-454B", "R-401A"))
    assert not any(find(name).hfc for name in ("R-22", "R-290", "R-1234yf", "R-514A", "R-502"))


def test_safety_groups() -> None:
    """ASHRAE 34, from memory."""
    groups = {
        "A1": "11 12 22 23 125 134a 404A 407A 407C 407F 408A 409A 410A 422D 427A 438A 448A 449A 450A 452A 500 502 507A"
        " 513A 744 1233zd(E)",
        "A2L": "32 1234yf 1234ze(E) 452B 454A 454B 454C 455A 143a",
        "A2": "152a",
        "A3": "290 600a 1270",
        "B1": "123 514A",
        "B2L": "717",
    }
    for group, numbers in groups.items():
        assert {find(number).safety_group for number in numbers.split()} == {group}
    assert find("R-717").flammable
    assert find("R-717").toxic
    assert not find("R-410A").flammable
