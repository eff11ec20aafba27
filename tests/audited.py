"""What the lived record has of audits and movement: an audit of the fleet just begun, one of Burdock ready to be closed, one
of the shed’s shelves, one that is closed; a loan, a half at repair, a crossing."""

import uuid

from tests.cast import World

SHUT = {"answer": "not_opened", "because": "sealed for the voyage"}


def line(world: World, audit: str, number: int) -> str:
    """The id of a line by its number."""
    return str(uuid.uuid5(uuid.UUID(world.ids[audit]), f"line:{number}"))


def audited(world: World) -> None:
    world.do("open_audit", "15 10:00", by="anselm", name="A-1", audit="A-1")
    world.do("open_audit", "15 10:10", by="anselm", name="A-2", audit="A-2", vehicle="burdock")
    world.do("open_audit", "15 10:20", by="anselm", name="A-3", audit="A-3", site="shed")
    world.do("open_audit", "15 10:30", by="anselm", name="A-4", audit="A-4", vehicle="burdock")
    world.do("sight_bay", "15 11:00", by="anselm", audit="A-2", bay="burdock A", empty=True)
    world.ids |= {"line B": line(world, "A-2", 2), "line 1": line(world, "A-1", 1)}
    world.do("answer_line", "15 11:10", by="anselm", line="line B", **SHUT)
    for number in (1, 2):
        world.do("answer_line", f"15 11:2{number}", by="anselm", line=line(world, "A-4", number), **SHUT)
    world.do("close_audit", "15 11:30", by="anselm", audit="A-4")


def moved(world: World) -> None:
    """The spare hull is lent, an odd half is at repair, and a crossing is planned."""
    told = {"partner": "Lowmoor Survey", "answers": "piet", "return_on": "2026-06-30"}
    world.do("enter_loan", "16 11:00", by="piet", name="the loan", vehicle="spare hull", **told)
    world.do("send_to_repair", "16 12:00", halves=["odd e"], keeper="Ardlune works", reference="RP-1")
    goes = {"from_country": "Norland", "to_country": "Sudland", "crosses_on": "2026-05-28", "returns_on": "2026-06-28"}
    world.do("plan_crossing", "16 13:00", by="piet", name="the crossing", vehicle="spare hull", **goes)
