"""Every finding's code, severity and sentence: one table.

A finding is a code with parameters; problems are data, not exceptions, so that all of them are seen at once.
Codes once published keep their meaning.
"""

from dataclasses import dataclass, field
from typing import Literal

from packet.statements import Amount, Param, Statement, shown
from packet.units import UnitSystem
from packet.words import N_, t

Severity = Literal["stop", "caution", "note"]
SEVERITIES: tuple[Severity, ...] = ("stop", "caution", "note")


@dataclass(frozen=True, slots=True)
class Kind:
    """What a code means: how bad it is, the sentence, and what would put it right."""

    severity: Severity
    message: str
    remedy: str = ""


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding, kept without words: they come when somebody reads it, in that reader's language.

    params fill the sentence's places; where: file:line or the thing it is about; source: the rule's, a marked message.
    units: the shop's, in which quantities are shown.
    """

    code: str
    params: tuple[tuple[str, Param], ...] = ()
    source: str = ""
    where: str = ""
    units: UnitSystem = field(default="US", compare=False)  # says how it is shown, not what is found

    @property
    def severity(self) -> Severity:
        """stop, caution or note, from the table."""
        return KINDS[self.code].severity

    @property
    def message(self) -> str:
        """The sentence in the current language."""
        return self._filled(KINDS[self.code].message)

    @property
    def remedy(self) -> str:
        """What would put it right, in the current language; empty where nothing is to be done."""
        words = KINDS[self.code].remedy
        return self._filled(words) if words else ""

    def said(self, places: int) -> str:
        """The sentence on the paper of a job whose scale shows weights with so many decimals."""
        return self._filled(KINDS[self.code].message, places)

    def _filled(self, words: str, places: int | None = None) -> str:
        return t(words, **shown(self.params, self.units, places)) if self.params else t(words)


def finding(
    code: str, units: UnitSystem | None = None, /, *, source: str = "", where: str = "", **params: Param
) -> Finding:
    """A Finding of the given code. units: the shop's; to be left out only where no quantity is among params.

    Raises KeyError for a code that is not in the table, ValueError for a quantity without the shop's units.
    """
    if code not in KINDS:
        raise KeyError(code)
    if units is None and any(_has_amount(value) for value in params.values()):
        raise ValueError(f"{code}: in which units?")
    return Finding(code, tuple(params.items()), source, where, units or "US")


def _has_amount(value: Param) -> bool:
    match value:
        case Amount():
            return True
        case Statement():
            return any(_has_amount(part) for _, part in value.params)
        case tuple():
            return any(_has_amount(part) for part in value)
        case _:
            return False


def worst(findings: tuple[Finding, ...]) -> Severity | None:
    """The worst severity among `findings`, or None when there are none."""
    present = {item.severity for item in findings}
    return next((severity for severity in SEVERITIES if severity in present), None)


KINDS: dict[str, Kind] = {
    # crew
    "technician-not-certified": Kind(
        "stop",
        N_("{technician} holds {held}; this appliance needs {needed}."),
        N_("Send a technician who holds {needed} or Universal: {candidates}."),
    ),
    "apprentice-needs-supervisor": Kind(
        "stop",
        N_("{technician} is an apprentice and no certified technician is named on the job."),
        N_("Name a certified technician under 'supervisor'."),
    ),
    # machine
    "scrap-certification-policy": Kind(
        "caution",
        N_("The shop asks for {needed} of whoever empties a small appliance for scrap; {technician} holds {held}."),
        N_("Send {candidates}, or let the office decide: the law asks for no certification here."),
    ),
    "machine-system-dependent": Kind(
        "stop",
        N_("Machine {machine} is system-dependent: not for a charge above {limit}; this one is {charge}."),
        N_("Send a machine that is: {candidates}."),
    ),
    "machine-not-for-refrigerant": Kind(
        "stop",
        N_("Machine {machine} is not certified for {refrigerant} ({pressure_class})."),
        N_("Send a machine that is: {candidates}."),
    ),
    "machine-not-flammable-rated": Kind(
        "stop",
        N_("{refrigerant} is flammable ({group}) and machine {machine} is not rated for flammable refrigerant."),
        N_("Send a machine that is: {candidates}."),
    ),
    "machine-pressure-too-low": Kind(
        "stop",
        N_("Machine {machine} is rated {rated} and {refrigerant} stands at {pressure} at {temperature}."),
        N_("Send a machine that is rated higher: {candidates}."),
    ),
    # cylinders
    "cylinder-non-refillable": Kind(
        "stop",
        N_("Cylinder {cylinder} ({spec}) is not refillable."),
        N_("Use one of these from the register: {candidates}."),
    ),
    "cylinder-out-of-test": Kind(
        "stop",
        N_("Cylinder {cylinder} was due for requalification in {due}; it may be emptied, not filled."),
        N_("Use one of these from the register: {candidates}."),
    ),
    "cylinder-packaging": Kind(
        "stop",
        N_(
            "Cylinder {cylinder}: its service pressure ({service}) is below {limit}, the least packaging for {refrigerant} (49 CFR 173.304a table 1)."
        ),
        N_("It takes a service pressure of at least {needed}: {candidates}."),
    ),
    "cylinder-pressure-131F": Kind(
        "stop",
        N_(
            "Cylinder {cylinder}: {refrigerant} reaches {pressure} at {temperature}, above 5/4 of its service pressure ({limit})."
        ),
        N_("It takes a service pressure of at least {needed}: {candidates}."),
    ),
    "cylinder-pressure-131F-listed": Kind(
        "caution",
        N_(
            "Cylinder {cylinder}: {refrigerant} reaches {pressure} at {temperature}, a little above 5/4 of its service pressure ({limit}); 49 CFR 173.304a table 1 lists this packaging for it by name."
        ),
    ),
    "cylinder-pressure-70F": Kind(
        "stop",
        N_(
            "Cylinder {cylinder}: {refrigerant} stands at {pressure} at {temperature}, above its service pressure ({limit})."
        ),
        N_("It takes a service pressure of at least {needed}: {candidates}."),
    ),
    "cylinder-other-contents": Kind(
        "stop",
        N_("Cylinder {cylinder} holds {contents}, not {refrigerant}."),
        N_("Use a cylinder that is empty and evacuated or holds {refrigerant}: {candidates}."),
    ),
    "cylinder-out-of-service": Kind(
        "stop",
        N_("Cylinder {cylinder} is out of service: {reason}."),
        N_("Use one of these from the register: {candidates}."),
    ),
    "cylinder-not-flammable-rated": Kind(
        "stop",
        N_("{refrigerant} is flammable ({group}) and cylinder {cylinder} is not rated for flammable gas."),
        N_("Use one of these from the register: {candidates}."),
    ),
    "cylinder-spec-unknown": Kind(
        "stop",
        N_("Cylinder {cylinder}: no service pressure can be read from its stamp ({spec})."),
        N_("Use one of these from the register: {candidates}."),
    ),
    "cylinder-test-unknown": Kind(
        "stop",
        N_("Cylinder {cylinder}: neither a requalification nor a manufacture month is in the register."),
        N_("Use one of these from the register: {candidates}."),
    ),
    "cylinder-not-mixed": Kind(
        "stop",
        N_("Unknown, mixed or analyzed gas goes into a cylinder kept for mixed gas; {cylinder} is not one."),
        N_("Use one of these from the register: {candidates}."),
    ),
    "cylinder-burnout": Kind(
        "stop",
        N_("Gas from a burnout gets a cylinder of its own; {cylinder} already holds {contents}."),
        N_("Use one of these from the register: {candidates}."),
    ),
    "cylinder-discrepancy": Kind(
        "caution",
        N_(
            "Cylinder {cylinder}: scale and ledger differ by {gap} since {record}, not explained; the plan counts the greater."
        ),
        N_("Find out why, then: packet cylinder explained {cylinder} --why …"),
    ),
    "cylinder-stands-high": Kind(
        "caution",
        N_(
            "Cylinder {cylinder} stands at {pressure} at {temperature}, at or above its service pressure ({limit}): keep it cooler than that while filling."
        ),
    ),
    "cylinder-full": Kind(
        "stop",
        N_("Cylinder {cylinder} has no room: it holds {contents} and may hold {limit}."),
        N_("Use one of these from the register: {candidates}."),
    ),
    "cylinders-do-not-suffice": Kind(
        "stop",
        N_("The cylinders have room for {free} of {needed}; {left} is left over."),
        N_("{candidates}"),
    ),
    "quick-rule-unsafe": Kind(
        "caution",
        N_(
            "For {refrigerant} the quick rule (80 % × WC + TW) allows {over} too much on cylinder {cylinder}: do not use it."
        ),
    ),
    "over-scale-capacity": Kind(
        "stop",
        N_("Cylinder {cylinder} at its stop weight ({stop}) EXCEEDS the capacity of scale {scale} ({capacity})."),
    ),
    # method
    "forced-method-breaks-rule": Kind(
        "stop", N_("The job forces {method}: {reason}"), N_("Set 'method: auto', which gives {alternative}.")
    ),
    # refrigerant
    "no-properties": Kind("stop", N_("{refrigerant}: no properties to compute with: {reason}")),
    "refrigerant-not-recovered": Kind("stop", N_("{refrigerant}: {reason}"), N_("{advice}")),
    "unknown-gas": Kind(
        "caution",
        N_(
            "The refrigerant is {refrigerant}: everything goes into a cylinder kept for mixed gas, weighed, and nothing else is assumed."
        ),
    ),
    "estimate": Kind("caution", N_("Estimate ± {percent} %: {what} ({how}).")),
    "not-in-register": Kind("stop", N_("{what} {id} is not in the shop's registers.")),
    "not-assigned": Kind(
        "stop",
        N_("{what} is not assigned yet."),
        N_("Name it in the job, or let the program choose: packet assign {job} --write"),
    ),
    "charge-not-plausible": Kind(
        "stop",
        N_("The charge of {charge} is more than an appliance of kind {kind} holds ({most} or so)."),
        N_("Correct the slip; if the charge is right, the kind is another one: rack, chiller or other."),
    ),
    "isolation-needs-receiver": Kind(
        "caution",
        N_(
            "An isolated part is named, but the system has no receiver to hold the rest: everything is planned for the full charge."
        ),
        N_("Write 'isolated_by: valves' under 'work:' where the part's own shut-off valves close it off."),
    ),
    "receiver-capacity-asked": Kind(
        "caution",
        N_(
            "An isolated part is named, and whether the receiver takes the other {rest} is not known: everything is planned for the full charge."
        ),
        N_(
            "Write 'receiver_capacity_lb:' (or _kg) under 'work:', or 'isolated_by: valves' where its own valves close it off."
        ),
    ),
    "receiver-too-small": Kind(
        "caution",
        N_(
            "An isolated part is named, and the receiver takes {takes} at 80 %, not the other {rest}: everything is planned for the full charge."
        ),
    ),
    "unknown-gas-may-burn": Kind(
        "stop",
        N_(
            "The refrigerant is {refrigerant} and may burn until it is identified; {what} is not rated for flammable gas."
        ),
        N_("Have it identified first, or send equipment rated for flammable gas: {candidates}."),
    ),
    "temperature-out-of-range": Kind(
        "caution",
        N_("{temperature} lies outside what can be computed for {refrigerant}: {used} is counted with."),
    ),
    "room-limit-unknown": Kind(
        "caution",
        N_("No concentration limit is known for {refrigerant}: ventilate, keep a detector running, work in pairs."),
    ),
    "carry-placards": Kind(
        "caution",
        N_(
            "Truck {truck} will carry {total} of hazardous materials; from {limit} on the vehicle needs placards as well."
        ),
    ),
    # hookup
    "kit-missing": Kind("stop", N_("Kit is missing: {what}."), N_("{remedy}")),
    "hose-too-narrow": Kind(
        "caution",
        N_("{stage}: {rate} is planned through hose {letters}, {bore} wide; such a hose carries about {carries}."),
        N_("Take a hose of {wide} or wider, or expect it to take longer."),
    ),
    "port-kind-not-stated": Kind(
        "note",
        N_("Not stated of which kind: {ports}. The steps are written so that they are safe for a Schrader core."),
        N_("Write under 'ports:' of each side: service-valve, king-valve, access-valve, schrader or piercing."),
    ),
    "walk-failed": Kind("stop", N_("Stage {stage}, step {step}: {why}")),
    # room, carrying, duties
    "room-limit-exceeded": Kind(
        "caution",
        N_("What could escape here ({charge}) EXCEEDS the concentration limit of this room: {limit} in {room}."),
        N_("Ventilate, keep a detector running, never alone, out at the alarm."),
    ),
    "room-not-given": Kind(
        "caution",
        N_("The room's volume is not given; {charge_limit} for each {room} is the limit."),
        N_("Write 'room_ft3:' (or room_m3) under 'site:' in the job."),
    ),
    "carry-cylinder-over": Kind(
        "caution", N_("Cylinder {cylinder} will weigh {gross}, above {limit} a cylinder for materials of trade.")
    ),
    "carry-truck-over": Kind(
        "caution",
        N_(
            "Truck {truck} will carry {total}, above {limit} for materials of trade: shipping papers and a trained driver."
        ),
    ),
    "carry-not-trade": Kind(
        "caution",
        N_(
            "What is in {cylinders} is not a material of trade ({refrigerant}): it may not travel by that exception. Shipping papers, a trained driver, and a trained shipper who classes it first."
        ),
        N_("Have the refrigerant identified before the cylinder is moved, or call the office for a carrier."),
    ),
    "carry-un-question": Kind(
        "note",
        N_("{refrigerant} has no entry of its own: {un_number} is printed, {other} is used too. Ask the shipper."),
    ),
    "carry-stays": Kind(
        "note",
        N_(
            "{weight} goes back into the same appliance and is not counted as carried home; if it does not, count it before you drive."
        ),
    ),
    "lift-alone": Kind("note", N_("Cylinder {cylinder} will weigh {gross}, more than {limit}: {how}.")),
    "lift-machine": Kind("note", N_("Machine {machine} weighs {gross}, more than {limit}: {how}.")),
    "second-person-missing": Kind(
        "caution",
        N_("This job needs a second person ({reasons}) and nobody is named."),
        N_("Write 'second:' with a technician's id, a name, or 'on-site', in the job."),
    ),
    "leak-exception": Kind(
        "caution",
        N_(
            "Leaking system: isolate the leak and draw what is sound to the target. Don't go below atmospheric pressure on the leaking part: that draws in air."
        ),
    ),
    "leak-rate-duty": Kind(
        "note", N_("Ozone-depleting, large charge: the owner has leak-rate duties (40 CFR 82.157).")
    ),
    "hfc-leak-duty": Kind("note", N_("The owner has leak-repair duties for this refrigerant (40 CFR 84.106).")),
    "policy-not-law": Kind(
        "note",
        N_("The law exempts {refrigerant} in this use from recovery; recovering it is the shop's policy."),
    ),
    "use-not-given": Kind(
        "note",
        N_("{refrigerant} is recovered by law here; what the appliance is used for could exempt it."),
        N_("Write 'use:' under 'appliance:' where it is one of the exempt uses."),
    ),
    # across jobs of the day
    "cylinder-two-trucks": Kind("stop", N_("Cylinder {cylinder} is on truck {truck} for this job and on {others}.")),
    "cylinder-two-refrigerants": Kind(
        "stop", N_("Cylinder {cylinder} is assigned to {refrigerant} here and to {others}.")
    ),
    "cylinder-used-again": Kind(
        "caution", N_("Cylinder {cylinder} comes from {earlier}, which is planned to leave {contents} in it.")
    ),
    "technician-two-places": Kind("stop", N_("{technician} is also on {others} at that time.")),
    "machine-two-places": Kind("stop", N_("Machine {machine} is also on {others} at that time.")),
    "scale-two-places": Kind("stop", N_("Scale {scale} is also on {others} at that time.")),
    "cylinder-two-places": Kind("stop", N_("Cylinder {cylinder} is also on {others} at that time.")),
    "truck-two-places": Kind(
        "stop",
        N_("Truck {truck} is also on {others} at that time, at another site."),
        N_("Move one of them to another truck or a later start."),
    ),
    "travel-short": Kind(
        "caution",
        N_("Truck {truck} leaves {earlier} at about {end}: {left} min to get here, and the way takes {needed} min."),
        N_("Start at {to} or later, or say the minutes for this pair under 'travel' in shop.yaml."),
    ),
    "handed-over": Kind(
        "caution",
        N_("{what} comes from truck {truck}: free at about {free} at {place} ({earlier}), needed here at {due}."),
    ),
    "handed-on": Kind(
        "caution",
        N_("{what} goes to truck {to} after this job, at about {free}: needed at {due} at {there} ({later})."),
    ),
    "kit-short-today": Kind(
        "stop",
        N_("The shop has {have} × {what}; with this job the trucks need {need}: {who}."),
        N_("Fetch {short} more{later}{instead}."),
    ),
    "machine-changes-refrigerant": Kind(
        "caution",
        N_(
            "Machine {machine} comes from {earlier} with {refrigerant}: clear and evacuate it, new drier, before this job."
        ),
    ),
    # filing what came back; a caution needs the office's reason
    "times-order": Kind(
        "caution",
        N_("The machine was cleared at {end}, not after it was started at {start}."),
        N_("Correct the times, or say that the work ran past midnight."),
    ),
    "times-same": Kind(
        "caution",
        N_("The machine was started and cleared at the same time, {start}."),
        N_("One of the two was typed twice, or not written down."),
    ),
    "old-print": Kind(
        "caution",
        N_("The readings are on print {revision}; {current} was printed later."),
        N_("Ask which print was worked from; the checks here follow {revision}."),
    ),
    "was-stopped": Kind(
        "caution",
        N_("The packet said DO NOT DISPATCH ({codes}), and the job was done all the same."),
    ),
    "date-differs": Kind("caution", N_("The work was done on {date}; the packet was for {planned}.")),
    "date-far": Kind(
        "caution",
        N_("The work was done on {date}, {count} days from the {planned} of the packet."),
        N_("Is it a slip in the month or the year?"),
    ),
    "technician-unknown": Kind("caution", N_("{technician} is not in technicians.yaml.")),
    "technician-differs": Kind("caution", N_("{technician} did the job; {planned} was planned.")),
    "supervisor-not-certified": Kind(
        "caution", N_("{technician} is an apprentice and cannot be in charge of one (40 CFR 82.161).")
    ),
    "air-after-standing": Kind(
        "caution",
        N_(
            "Cylinder {cylinder} stood at {found} with {temperature} on its surface; a pressure higher than {most}: non-condensables."
        ),
        N_("Mark its tag, and tell the reclaimer; do not vent it."),
    ),
    "card-missing": Kind("caution", N_("No certification card number is written down.")),
    "card-differs": Kind("caution", N_("Card {card} is not the card of {technician} in technicians.yaml ({known}).")),
    "owner-missing": Kind(
        "caution",
        N_("'{key}' is blank: nobody says whose refrigerant it is now."),
        N_("Ask the technician or the site."),
    ),
    "destination-missing": Kind(
        "caution",
        N_("'{key}' is blank: nobody says where the refrigerant goes."),
        N_("One of: {choices}."),
    ),
    "statement-missing": Kind(
        "caution",
        N_("None of the two statements that go with scrap is ticked: '{disposal}' or '{leaked}'."),
        N_("The scrap yard needs it in writing (40 CFR 82.155(b))."),
    ),
    "statement-both": Kind("caution", N_("'{disposal}' and '{leaked}' are both ticked: one of them can be true.")),
    "statement-leaked": Kind(
        "caution", N_("'{leaked}' is ticked, all had leaked out before, and {recovered} was recovered.")
    ),
    "scan-holds": Kind(
        "caution",
        N_("'{key}' says yes; hold points not initialed on the scan ({count}): {labels}."),
        N_("Look at the paper. Nothing that was not done is filed as done."),
    ),
    "scan-cautions": Kind(
        "caution",
        N_("'{key}' says yes; lines of the front not initialed on the scan ({count}): {labels}."),
        N_("Look at the paper. Nothing that was not done is filed as done."),
    ),
    "scan-differs": Kind(
        "caution",
        N_("Typed otherwise than the scan reads: {differences}."),
        N_("Look at the paper; if what is typed is right, say so."),
    ),
    "scan-not-compared": Kind("note", N_("The scan of this packet could not be held against the form: {why}.")),
    "blank-missing": Kind("caution", N_("Left blank: {labels}.")),
    "not-initialled": Kind("caution", N_("Not ticked, initialed or signed: {labels}.")),
    "refrigerant-differs": Kind(
        "caution",
        N_("{found} was found; the packet was for {planned}."),
        N_("If it is right, every weight of the packet was worked out for another gas: have the cylinders checked."),
    ),
    "cylinder-not-on-job": Kind(
        "caution",
        N_("Cylinder {cylinder} was not on this job: no stop weight was worked out for it."),
    ),
    "cylinder-became-mixed": Kind(
        "caution",
        N_("Cylinder {cylinder} held {contents}; {refrigerant} was put on top: from now on it counts as mixed."),
        N_("Tag it as mixed, and let nothing more into it but mixed gas."),
    ),
    "cylinder-not-weighed": Kind(
        "caution",
        N_("Cylinder {cylinder} is neither weighed nor marked as not used."),
        N_("Write 'not_used: yes' when it stayed empty on the truck."),
    ),
    "balance-cylinder": Kind(
        "caution",
        N_("Cylinder {cylinder}: the scale says {moved} went in, {put_in} is written down."),
        N_("The ledger follows the scale."),
    ),
    "balance-job": Kind(
        "caution",
        N_("The cylinders took {moved} by the scale, {total} is written down as the total."),
        N_("The ledger follows the scale."),
    ),
    "over-stop-weight": Kind("caution", N_("Cylinder {cylinder} was filled to {gross}, above its stop weight {stop}.")),
    "over-limit-weight": Kind(
        "caution",
        N_("Cylinder {cylinder} was filled to {gross}, above {limit} that it may never pass."),
        N_("Keep it cool, do not carry it, and draw the excess off into another cylinder now."),
    ),
    "level-not-read": Kind("caution", N_("No final gauge reading is written down.")),
    "level-not-reached": Kind(
        "caution",
        N_("The gauge read {read}; the level is {target}, and no exception is ticked."),
    ),
    "exception-not-so-low": Kind(
        "caution",
        N_("An exception is ticked, and the gauge read {read}: above 0 gauge is allowed to none of them."),
    ),
    "small-amount-short": Kind(
        "caution",
        N_("{recovered} of {charge} is {percent} %; {target} % is asked for, and {vacuum} was not reached either."),
    ),
    "rise-check-short": Kind("caution", N_("The rise check took {waited} min; {needed} min are asked for.")),
    "rise-check-rose": Kind(
        "caution", N_("At the end of the rise check the gauge read {read}; the level is {target}.")
    ),
    "amount-below-charge": Kind(
        "caution",
        N_("{recovered} of {charge} was recovered: {short} ({percent} %) is missing. The system may have leaked."),
        N_(
            "A leak of an ozone-depleting refrigerant, {large} or more, is the owner's duty to follow up (40 CFR 82.157)."
        ),
    ),
    "amount-above-charge": Kind(
        "caution",
        N_("{recovered} was recovered, {over} ({percent} %) more than {charge}: overcharged, or not one gas."),
    ),
    "weight-differs": Kind(
        "note",
        N_(
            "Cylinder {cylinder} weighed {found} with hoses off; tare and ledger make {expected}. {gap} is unexplained."
        ),
        N_("Explain it: packet cylinder explained {cylinder} --why REASON"),
    ),
    "amount-differs": Kind(
        "caution",
        N_("The ledger has {ledger} in cylinder {cylinder}; {typed} is written down."),
    ),
    "less-counted-since": Kind(
        "caution",
        N_("With this, {record} counted {weight} less in cylinder {cylinder} than had gone in."),
        N_("One of the two is wrong: compare their weights before this is filed."),
    ),
    "handed-over-anew": Kind(
        "note",
        N_("With this, {record} handed over {now} from cylinder {cylinder}; until now it counted {before}."),
        N_("Hold it against the receipt."),
    ),
    "more-counted-since": Kind(
        "caution",
        N_("With this, {record} counted {weight} more in cylinder {cylinder} than had gone in."),
        N_("One of the two is wrong: compare their weights before this is filed."),
    ),
    "turn-in-part-goes-along": Kind(
        "caution",
        N_("{rest} stays in cylinder {cylinder}, and it goes along to {to}."),
        N_("Where the cylinder is still here, add --stays."),
    ),
    "turn-in-jobs-not-filed": Kind(
        "caution",
        N_("Not filed yet, and may have put gas into cylinder {cylinder}: {jobs}."),
        N_("File them first; filed later, they still count into what was handed over."),
    ),
    "turn-in-no-receipt": Kind(
        "note",
        N_("No receipt or manifest number is given for cylinder {cylinder}."),
        N_("Give it with --reference; where it comes later: packet records receipt RECORD NUMBER"),
    ),
    "turn-in-others-cylinder": Kind("caution", N_("Cylinder {cylinder} is not the shop's: it belongs to {owner}.")),
    "turn-in-same-owner": Kind(
        "caution",
        N_("What is in cylinder {cylinder} was to go back to the same owner ({jobs})."),
        N_("Ask the owner before it is sent anywhere else (40 CFR 82.156(h))."),
    ),
    "still-holds": Kind("caution", N_("The ledger has {ledger} in cylinder {cylinder}.")),
}
