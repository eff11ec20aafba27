"""What a history tells of amended bays and people, and of entries that were taken back."""

import sqlalchemy as sa
from sqlalchemy import select

from registry.models.amended_missions import amended_mission, vehicle_of_mission
from registry.models.amendments import amended_bay, amended_person, withdrawal, withdrawn_of
from registry.models.fleet import bay, vehicle
from registry.models.installs import installation_span as span
from registry.models.missions import mission
from registry.models.pairings import pairing
from registry.models.people import person_private
from registry.models.seeks import AT, KNOWN
from registry.queries.history_rows import B, G, H, P, V, bay_name, first_told, shown_acts

_was, _was_in = bay.alias("was_bay"), vehicle.alias("was_vehicle")
_bays = (
    select(
        amended_bay.c.amended_act_id, amended_bay.c.why, amended_bay.c.seq, first_told.c.happened_at, pairing.c.name.label("pair"),
        (_was_in.c.name + ", bay " + _was.c.letter).label("was"), bay_name,
    )
    .select_from(amended_bay)
    .join(first_told, first_told.c.act_id == amended_bay.c.amended_act_id)
    .join(span, sa.and_(span.c.opened_by == amended_bay.c.amended_act_id, span.c.seq == amended_bay.c.seq))
    .join(pairing, pairing.c.id == span.c.pairing_id)
    .join(_was, _was.c.id == amended_bay.c.was_bay_id)
    .join(_was_in, _was_in.c.id == _was.c.vehicle_id)
    .join(bay, bay.c.id == amended_bay.c.now_bay_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .where(amended_bay.c.seq <= KNOWN, first_told.c.happened_at <= AT)
)  # fmt: skip
amended_bays = _bays.where(amended_bay.c.amended_act_id.in_(shown_acts))
#: What the history of a bay says of a pair that never was in it.
wrong_bays = _bays.where(amended_bay.c.was_bay_id.in_(B))
amended_people = (
    select(amended_person.c.amended_act_id, amended_person.c.part, amended_person.c.why, amended_person.c.seq, person_private.c.name)
    .select_from(amended_person)
    .outerjoin(person_private, person_private.c.person_id == amended_person.c.was_person_id)
    .where(amended_person.c.seq <= KNOWN, amended_person.c.amended_act_id.in_(shown_acts))
)  # fmt: skip
_then, _since = vehicle.alias("then_vehicle"), vehicle.alias("since_vehicle")
#: What was amended of missions, told of the vehicle that sailed and of the one it was entered for.
amended_missions = (
    select(
        amended_mission.c.part, amended_mission.c.was_at, amended_mission.c.now_at, amended_mission.c.why, amended_mission.c.seq, mission.c.reference,
        _then.c.name.label("was_vehicle"), _since.c.name.label("now_vehicle"), first_told.c.happened_at,
    )
    .select_from(amended_mission)
    .join(mission, mission.c.id == amended_mission.c.mission_id)
    .join(first_told, first_told.c.seq == amended_mission.c.seq)
    .outerjoin(_then, _then.c.id == amended_mission.c.was_vehicle_id)
    .outerjoin(_since, _since.c.id == amended_mission.c.now_vehicle_id)
    .where(amended_mission.c.seq <= KNOWN, first_told.c.happened_at <= AT, sa.or_(vehicle_of_mission.in_(V), mission.c.vehicle_id.in_(V), amended_mission.c.was_vehicle_id.in_(V)))
)  # fmt: skip
withdrawals = (
    select(withdrawal.c.why, withdrawal.c.seq, first_told.c.act, first_told.c.seq.label("first_seq"), first_told.c.happened_at)
    .select_from(withdrawal)
    .join(first_told, first_told.c.act_id == withdrawal.c.withdrawn_act_id)
    .where(
        withdrawal.c.seq <= KNOWN, first_told.c.happened_at <= AT,
        withdrawal.c.id.in_(
            select(withdrawn_of.c.withdrawal_id).where(
                sa.or_(
                    withdrawn_of.c.half_id.in_(H), withdrawn_of.c.pairing_id.in_(P), withdrawn_of.c.bay_id.in_(B),
                    withdrawn_of.c.housing_id.in_(G), withdrawn_of.c.vehicle_id.in_(V),
                )
            )
        ),
    )
)  # fmt: skip
