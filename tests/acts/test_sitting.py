"""A sitting: what it remembers is what the database would say, and an act is entered in it as it is alone."""

from typing import Any

import pytest
import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.acts import door, log, tree
from registry.acts.sitting import Remembering, Sitting
from registry.acts.verify import verify
from registry.errors import Refused
from registry.models.people import person_role
from registry.models.sites import site
from registry.models.units import fault
from tests.cast import World

_sites = select(site.c.name).order_by(site.c.name)
_roles = select(person_role.c.role).where(person_role.c.person_id == bindparam("person"))
_sites_of_roles = select(site.c.id).where(sa.exists(select(person_role.c.id)))


class Asked:
    """A connection that counts what it is asked."""

    def __init__(self, db: sa.Connection):
        self.db, self.count = db, 0

    def __getattr__(self, name: str) -> Any:
        return getattr(self.db, name)

    def execute(self, *told: Any, **more: Any) -> Any:
        self.count += 1
        return self.db.execute(*told, **more)


def test_what_nothing_wrote_to_is_asked_once_and_answered_alike(world: World):
    with world.database.reading() as db:
        asked = Asked(db)
        memory = Remembering(asked)
        for _ in range(3):
            assert memory.execute(_sites).all() == db.execute(_sites).all()
            assert memory.execute(_sites).scalars().first() == db.execute(_sites).scalars().first()
            for who in ("maren", "oda"):
                key = {"person": world.ids[who]}
                assert memory.execute(_roles, key).mappings().all() == db.execute(_roles, key).mappings().all()
        assert asked.count == 3


def test_a_table_that_was_written_to_is_read_again_wherever_it_stands_in_a_statement(world: World):
    with world.database.writing() as db:
        asked = Asked(db)
        memory = Remembering(asked)
        sitting = Sitting(memory, world.dice.randrange)
        before = memory.execute(_sites).all()
        memory.execute(_sites_of_roles).all()
        told = {"person": world.ids["ida"], "role": "verifier"}
        door.perform_next(sitting, world.ready(world.sent("give_role", "18 09:00", **told), "maren"), now=world.now)
        count = asked.count
        assert memory.execute(_sites).all() == before
        assert asked.count == count
        memory.execute(_sites_of_roles).all()
        assert "verifier" in memory.execute(_roles, {"person": world.ids["ida"]}).scalars().all()
        assert asked.count == count + 2


def test_a_right_that_ends_within_the_sitting_ends_for_the_next_act(world: World):
    half = {"kind": "sensor", "unit_type": "Reed", "maker": "Ardlune", "part": "RS-100", "site": "North shed"}
    with world.database.writing() as db:
        sitting = Sitting(Remembering(db), world.dice.randrange)
        enter = lambda act, by, **told: door.perform_next(sitting, world.ready(world.sent(act, "20 11:00", **told), by), now=world.now)  # noqa: E731  # fmt: skip
        enter("receive_half", "oda", **half, serial="S-1")
        enter("end_role", "maren", person="oda", role="workshop_lead")
        with pytest.raises(Refused) as refused:
            enter("receive_half", "oda", **half, serial="S-2")
    assert [reason.code for reason in refused.value.reasons] == ["not_allowed"]


def test_many_acts_of_one_sitting_leave_the_log_and_the_tree_that_each_alone_leaves(either: World):
    with either.database.writing() as db:
        sitting = Sitting(Remembering(db), either.dice.randrange, at_once=5)
        sent = [either.sent("note_fault", "18 09:00", half="p1 s", words=f"hums {n}") for n in range(11)]
        sitting.look_up([one["id"] for one in sent])
        for one in sent:
            assert not door.perform_next(sitting, either.ready(one, "ida"), now=either.now).again
        assert door.perform_next(sitting, either.ready(sent[3], "ida"), now=either.now).again
    with either.database.reading() as db:
        assert verify(db, None).faults == []
        assert db.execute(select(sa.func.count()).select_from(fault).where(fault.c.words.like("hums %"))).scalar() == 11
        leaves = [tree.leaf_hash(row.raw) for row in log.rows(db)]
        assert log.root(db, len(leaves)) == _root(leaves)


def _root(leaves: list[bytes]) -> bytes:
    """RFC 9162 section 2.1.1 as it is written: the largest power of two to the left, the rest to the right."""
    if len(leaves) == 1:
        return leaves[0]
    left = 1 << (len(leaves) - 1).bit_length() - 1
    return tree.node_hash(_root(leaves[:left]), _root(leaves[left:]))


def test_codes_drawn_together_are_new_and_each_is_given_once(world: World):
    with world.database.reading() as db:
        sitting = Sitting(db, world.dice.randrange, at_once=7)
        codes = [sitting.draw() for _ in range(30)]
    assert len(set(codes)) == 30
    assert {code[0] for code in codes} == {"K"}


def test_a_code_that_something_bears_is_never_given_also_when_many_are_drawn(world: World):
    """The dice give the codes of halves again, then others."""
    from registry.acts.codes import drawn
    from registry.domain.codes import draw_code
    from registry.models.units import half

    seeded = lambda: __import__("random").Random(7)  # noqa: E731
    with world.database.reading() as db:
        borne = set(db.execute(select(half.c.code)).scalars())
        dice = seeded()
        again = [draw_code("K", dice.randrange) for _ in range(400)]
        assert borne & set(again)
        draw = drawn(db, "K", seeded().randrange, at_once=50)
        assert not {draw() for _ in range(300)} & borne
