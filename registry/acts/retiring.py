"""What stands against retiring a half or a vehicle."""

from sqlalchemy import bindparam, select

from registry.acts.act import Case
from registry.acts.seats import stays_of
from registry.domain.installs import Stay
from registry.domain.times import NEVER, say
from registry.errors import Reason
from registry.models.units import retirement

_retired = select(retirement.c.retired_at).where(
    (retirement.c.half_id == bindparam("thing")) | (retirement.c.vehicle_id == bindparam("thing"))
)


def reasons_not_to_retire(case: Case, thing: str, what: str) -> list[Reason]:
    """It is retired once, and nothing of it sits in a bay. `what` is `half` or `vehicle`."""
    if done := case.db.execute(_retired, {"thing": thing}).scalar():
        return [Reason("already_so", f"That {what} was retired on {say(done)}.", what, "There is nothing to do.")]
    stays = [stay for stay in stays_of(case.db, what, thing) if (stay.removed_at or NEVER) > case.at]
    return [_still_there(stay, what) for stay in stays]


def _still_there(stay: Stay, what: str) -> Reason:
    if stay.removed_at:
        told = f"{stay.say()}; it cannot have been retired before that ended."
        return Reason("overlaps_history", told, "happened_at", "Look at the day and time.")
    told = f"{stay.pair} still sits in {stay.bay} since {say(stay.installed_at)}."
    return Reason("pair_installed", told, what, "Enter its removal first.")
