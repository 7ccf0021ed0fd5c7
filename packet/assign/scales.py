"""Which scale goes on which job of a day: one that weighs enough, in fine steps, and is in one place at a time."""

from dataclasses import dataclass

from packet.assign.machines import MachineDemand, MachineOffer, MachineOutcome, assign_machines

FINE_lb = 0.1  # steps finer than this decide nothing; common practice, no source


@dataclass(frozen=True, slots=True)
class ScaleOffer:
    """A scale fit for a job. cylinders: how many the job needs with it, as its capacity limits each of them."""

    scale: str
    cylinders: int
    resolution_lb: float


@dataclass(frozen=True, slots=True)
class Weighing:
    """A job that needs a scale, minutes of the day. present: the one its file names."""

    job: str
    truck: str
    start_min: float
    minutes: float
    present: str
    offers: tuple[ScaleOffer, ...]


@dataclass(frozen=True, slots=True)
class ScaleOutcome:
    """The scale of each job, '' where none is left. proven: nothing better exists."""

    chosen: tuple[tuple[str, str], ...]
    proven: bool

    def of(self, job: str) -> str:
        """One job's scale."""
        return dict(self.chosen).get(job, "")


def choose_scales(weighings: tuple[Weighing, ...]) -> ScaleOutcome:
    """The best scales: no job without, few hand-overs, few changes; of those fit for a job the fewest cylinders, then
    fine steps. A coarser one comes in only where the finer ones leave a job without.

    The search is that of the machines; a scale holds no gas.
    """
    fine = _searched(weighings, fine_only=True)
    best = fine if not fine.measure.without else _searched(weighings, fine_only=False)
    return ScaleOutcome(
        tuple((job, offer.machine if offer else "") for job, offer in best.chosen),
        best.proven,
    )


def _searched(weighings: tuple[Weighing, ...], *, fine_only: bool) -> MachineOutcome:
    demands = tuple(
        MachineDemand(
            item.job,
            item.truck,
            "",
            item.start_min,
            item.present,
            tuple(MachineOffer(offer.scale, item.minutes) for offer in _good(item, fine_only=fine_only)),
        )
        for item in weighings
    )
    names = {offer.machine for demand in demands for offer in demand.offers}
    return assign_machines(demands, dict.fromkeys(names))


def _good(item: Weighing, *, fine_only: bool) -> tuple[ScaleOffer, ...]:
    if not fine_only or not item.offers:
        return item.offers
    fewest = min(offer.cylinders for offer in item.offers)
    enough = [offer for offer in item.offers if offer.cylinders == fewest]
    step = max(FINE_lb, min(offer.resolution_lb for offer in enough))
    return tuple(offer for offer in enough if offer.resolution_lb <= step or offer.scale == item.present)
