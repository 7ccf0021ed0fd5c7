"""The log: what is read while it runs, each line beside the weight that is expected then."""

from packet.plan.model import LogPart, Plan
from packet.sheets.model import Log, LogRow
from packet.sheets.show import STAGES, Show
from packet.shop.records import PrintSize
from packet.words import t

# lines beyond the planned ones: the planned times are estimates
SPARE = 2
# for a gas of which nothing can be expected
WITHOUT_PLAN = 14
# columns stand side by side, by size of type; what is longer goes on in a further band, so that a page can end between them
ABREAST = {"usual": 3, "large": 2}
MOST_IN_COLUMN = 10


def log(plan: Plan, way: Show, size: PrintSize = "usual") -> Log:
    """The log of a job: planned lines, then spare ones, in bands of columns."""
    rows = [row for number, part in enumerate(plan.log) for row in _part(plan, number, part, way)]
    stage = ""
    if len(plan.log) == 1:
        # what is the same for every line stands above all of them; the reminder names the cylinder
        stage, rows = t(STAGES[plan.log[0].stage]), rows[1:]
    rows += [LogRow("", "")] * (SPARE if rows else WITHOUT_PLAN)
    # nothing can be expected of a gas that nobody knows: its columns are narrower, and one more stands beside the others
    expects = bool(plan.log)
    abreast = ABREAST[size] + (not expects and size == "usual")
    return Log(
        name=t("Log"),
        title=t("Log"),
        opening=" ".join(part for part in (stage and f"{stage}.", t("Every 5 minutes, near the stop every minute.")) if part),
        heads=(
            t("min"),
            *((t("Expect {unit}", unit=way.weight_unit),) if expects or size == "large" else ()),
            t("Gross {unit}", unit=way.weight_unit),
            t("Suction"),
            t("Disch. {unit}", unit=way.pressure_unit),
        ),
        columns=_columns(rows, abreast),
        reminder=_reminder(plan, way),
        abreast=abreast,
    )  # fmt: skip


def _columns(rows: list[LogRow], abreast: int) -> tuple[tuple[LogRow, ...], ...]:
    """The rows in bands of columns, as low as they go; none ends in the head of what stands in the next."""
    most = abreast * -(-len(rows) // (abreast * MOST_IN_COLUMN))
    height = -(-len(rows) // most)
    while len(columns := _split(rows, height)) > most:
        height += 1
    columns += [[]] * (most - len(columns))
    spare = LogRow("", "")
    return tuple((*column, *[spare] * (height - len(column))) for column in columns)


def _split(rows: list[LogRow], height: int) -> list[list[LogRow]]:
    columns = []
    while rows:
        end = height - 1 if len(rows) > height and rows[height - 1].mark else height
        columns.append(rows[:end])
        rows = rows[end:]
    return columns


def _part(plan: Plan, number: int, part: LogPart, way: Show) -> list[LogRow]:
    before = plan.log[number - 1] if number else None
    stage = t(STAGES[part.stage])
    if before is None or before.cylinder == part.cylinder:
        words = t("{stage} into {cylinder}", stage=stage, cylinder=part.cylinder)
    else:
        words = t("{stage}: swap to {cylinder}", stage=stage, cylinder=part.cylinder)
    points = [LogRow(str(point.minute), way.weight_value(point.gross_lb)) for point in part.points]
    return [LogRow("", "", words), *points]


def _reminder(plan: Plan, way: Show) -> tuple[str, ...]:
    return tuple(
        t("{cylinder}: stop at {weight} gross; stop and cool at {pressure}.",
          cylinder=item.cylinder.id,
          weight=way.weight(item.stop_gross_lb.value),
          pressure=way.pressure_limit(item.stop_and_cool_psig.value))
        for item in plan.cylinders
    )  # fmt: skip
