"""Finding things by what is printed on them: our own codes and addresses, makers' labels, bare serials.

Shared by the door (which must find exactly one thing) and by the tray (which shows whatever there is).
"""

from collections.abc import Iterable

import sqlalchemy as sa
from sqlalchemy import bindparam, literal, select

from registry.domain.labels import Label, fold_key, identity_key, near_matches
from registry.domain.matches import Half, Pairing
from registry.models.fleet import bay, vehicle
from registry.models.pairings import pairing
from registry.models.people import outfit, person
from registry.models.sites import site, station
from registry.models.units import half, identity, unit_type

BEARERS = (half, bay, vehicle, station, person, site)
_bearer = sa.union_all(
    *(select(literal(t.name).label("kind"), t.c.id).where(t.c.code == bindparam("code")) for t in BEARERS)
)
_borne = sa.union_all(*(select(t.c.code).where(t.c.code.in_(bindparam("codes", expanding=True))) for t in BEARERS))
_hosts = select(outfit.c.label_host).distinct()
_labels = select(identity.c.half_id, identity.c.printed_serial)
_by_key = _labels.where(
    identity.c.scheme == bindparam("scheme"), identity.c.issuer == bindparam("issuer"),
    identity.c.part == bindparam("part"), identity.c.serial == bindparam("serial"),
)  # fmt: skip
_by_text = _labels.where(sa.or_(identity.c.printed_serial == bindparam("text"), identity.c.joined == bindparam("text")))
_by_fold = _labels.where(identity.c.folded_serial == bindparam("key"))
_folds = select(identity.c.folded_serial).where(identity.c.folded_serial.in_(bindparam("keys", expanding=True)))
_AT_ONCE = 500
_labels_of = identity.alias("labels_of")
#: The label a half was entered under.
first_label = (
    select(_labels_of.c.id)
    .where(_labels_of.c.half_id == half.c.id)
    .order_by(_labels_of.c.seq, _labels_of.c.id)
    .limit(1)
    .scalar_subquery()
)
_halves = (
    select(half.c.id, half.c.code, half.c.kind, half.c.unit_type_id, (unit_type.c.maker + " " + unit_type.c.name).label("type_name"), identity.c.printed_serial, identity.c.printed_part)
    .select_from(half)
    .join(unit_type, unit_type.c.id == half.c.unit_type_id)
    .join(identity, identity.c.id == first_label)
    .where(half.c.id.in_(bindparam("halves", expanding=True)))
)  # fmt: skip
#: The columns of a `Pairing`, in its order.
PAIRING = (
    pairing.c.id,
    pairing.c.name,
    pairing.c.sensor_id,
    pairing.c.electronics_id,
    pairing.c.paired_at,
    pairing.c.ended_at,
    pairing.c.end_reason,
)
_pairings = select(*PAIRING).where(
    pairing.c.voided_seq.is_(None),
    sa.or_(
        pairing.c.sensor_id.in_(bindparam("halves", expanding=True)),
        pairing.c.electronics_id.in_(bindparam("halves", expanding=True)),
    ),
)


def bearer(db: sa.Connection, code: str) -> tuple[str, str] | None:
    """(kind, id) of the thing that bears this code."""
    row = db.execute(_bearer, {"code": code}).first()
    return (row.kind, row.id) if row else None


def borne(db: sa.Connection, codes: list[str]) -> set[str]:
    """Those of these codes that something bears."""
    return set(db.execute(_borne, {"codes": codes}).scalars()) if codes else set()


def hosts(db: sa.Connection) -> list[str]:
    """Every host ever printed on our labels."""
    return list(db.execute(_hosts).scalars())


def halves(db: sa.Connection, ids: Iterable[str]) -> dict[str, Half]:
    """Half id -> the half as people meet it."""
    wanted = sorted({id_ for id_ in ids if id_})
    return {row.id: Half(*row) for row in db.execute(_halves, {"halves": wanted})} if wanted else {}


def pairings(db: sa.Connection, ids: Iterable[str]) -> tuple[Pairing, ...]:
    """Every pairing, live or ended, that any of these halves stood in."""
    wanted = sorted(set(ids))
    return tuple(Pairing(*row) for row in db.execute(_pairings, {"halves": wanted})) if wanted else ()


def halves_bearing(db: sa.Connection, label: Label) -> dict[str, Half]:
    """The halves that bear this label; for a bare serial there may be several, and it is not decided here."""
    key = identity_key(label.identity)
    if key:
        rows = db.execute(_by_key, key._asdict()).all()
    else:
        texts = {candidate.value for candidate in label.candidates if candidate.kind != "code"}
        rows = [row for text in sorted(texts) for row in db.execute(_by_text, {"text": text})]
    return halves(db, [row.half_id for row in rows])


def folds_known(db: sa.Connection, keys: list[str]) -> set[str]:
    """Those of these folded serials (`fold_key`) that a label bears."""
    parts = (keys[start : start + _AT_ONCE] for start in range(0, len(keys), _AT_ONCE))
    return {key for part in parts for key in db.execute(_folds, {"keys": part}).scalars()}


def halves_near(db: sa.Connection, label: Label, most: int = 6) -> list[Half]:
    """Halves whose serial differs from this one only as people and readers err. Listed, never picked."""
    serial = label.identity.serial if label.identity else label.candidates[0].value if label.candidates else ""
    if not serial:
        return []
    rows = db.execute(_by_fold, {"key": fold_key(serial)}).all()
    alike = near_matches(serial, [row.printed_serial for row in rows])
    return list(halves(db, [row.half_id for row in rows if row.printed_serial in alike]).values())[:most]
