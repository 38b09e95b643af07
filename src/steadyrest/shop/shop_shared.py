"""What machines share, as the shop file says: [shared.NAME] with how much there is and what each machine asks."""

from __future__ import annotations

from collections.abc import Sequence

from steadyrest.shop.floor import Machine, Shared
from steadyrest.shop.shop_fields import Fields

KEYS = ("name", "unit", "allows", "asks")
LEAST_NAMED = 2


def shared_limits(file: Fields, machines: Sequence[Machine]) -> tuple[Shared, ...]:
    """Every limit that machines share.

    Args:
        file: the whole file.
        machines: of the floor.
    Returns: the limits in the file's order; none is allowed.
    Raises: BadInput: an unknown machine, a machine that asks for more than there is, or fewer than two named.
    """
    return tuple(_shared(name, fields, {machine.id for machine in machines}) for name, fields in file.named("shared"))


def _shared(name: str, fields: Fields, machines: set[str]) -> Shared:
    fields.only(KEYS)
    allows, table = fields.number("allows", above=True), fields.inner("asks")
    for machine in table.table:
        if machine not in machines:
            raise table.wrong(machine, "there is no such machine.", f"Machines: {', '.join(sorted(machines))}.")
    asks = tuple((machine, table.number(machine, above=True)) for machine in table.table)
    if len(asks) < LEAST_NAMED:
        raise fields.wrong("asks", "a limit is shared by two machines or more.", "Name what each of them asks.")
    for machine, amount in asks:
        if amount > allows:
            what = f"{amount:g} is more than the {allows:g} there is: it could never run."
            raise table.wrong(machine, what, "Correct one of the two.")
    return Shared(name, fields.text("name", name), fields.text("unit"), allows, asks)
