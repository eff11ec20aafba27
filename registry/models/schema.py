"""Bringing a database to today's schema, and telling when it is not at it: the fingerprint compared at start-up."""

import hashlib
import json
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import sqlalchemy as sa

from registry import paths
from registry.errors import Reason, Refused
from registry.models.rights import grants

if TYPE_CHECKING:
    from alembic.config import Config

FINGERPRINTS = Path(__file__).parent / "fingerprints.json"


def revisions() -> "Config":
    """Where the revisions lie, and what they share."""
    from alembic.config import Config

    config = Config()
    where = str(paths.MIGRATIONS).replace("%", "%%")
    config.set_main_option("script_location", where)
    config.set_main_option("path_separator", "os")
    config.set_main_option("prepend_sys_path", f"{where}/frozen")
    return config


def migrate(engine: sa.Engine, revision: str = "head", *, application: str | None = None) -> None:
    """Bring the database up (or down) to a revision, as the owner of its tables. Guards stand only at head.

    On PostgreSQL `application` names the role that requests run as; it is given its rights and no others.
    """
    from alembic import command

    config = revisions()
    config.attributes["engine"] = engine
    down = revision == "base" or revision.startswith("-")
    (command.downgrade if down else command.upgrade)(config, revision)
    if application and not down:
        with engine.begin() as db:
            for statement in grants(application, engine.url.database or ""):
                db.exec_driver_sql(statement)


def schema_print(db: sa.Connection) -> dict[str, str]:
    """Every table, index, constraint, trigger and trigger function of the schema -> a short hash of its definition."""
    rows = _sqlite_parts(db) if db.dialect.name == "sqlite" else _postgres_parts(db)
    return {name: hashlib.sha256(_plain(sql).encode()).hexdigest()[:16] for name, sql in rows}


def _sqlite_parts(db: sa.Connection) -> list[tuple[str, str]]:
    found = db.exec_driver_sql(
        "SELECT type || ' ' || name, sql FROM sqlite_master WHERE sql IS NOT NULL"
        " AND NOT (type = 'table' AND name IN ('alembic_version', 'sqlite_sequence', 'sqlite_stat1')) ORDER BY 1"
    )
    return [(name, sql) for name, sql in found]


def _postgres_parts(db: sa.Connection) -> list[tuple[str, str]]:
    found = db.exec_driver_sql(
        "WITH mine AS (SELECT oid, relname FROM pg_class WHERE relnamespace = 'public'::regnamespace AND relkind = 'r'"
        "   AND relname <> 'alembic_version')"
        " SELECT 'column ' || relname || '.' || attname, format_type(atttypid, atttypmod) || attnotnull"
        "   FROM pg_attribute JOIN mine ON mine.oid = attrelid WHERE attnum > 0 AND NOT attisdropped"
        " UNION ALL SELECT 'constraint ' || relname || '.' || conname, pg_get_constraintdef(k.oid) || convalidated"
        "   FROM pg_constraint k JOIN mine ON mine.oid = conrelid WHERE contype IN ('c', 'f', 'p', 'u', 'x')"
        " UNION ALL SELECT 'index ' || indexname, indexdef FROM pg_indexes WHERE schemaname = 'public' AND tablename <> 'alembic_version'"
        " UNION ALL SELECT 'trigger ' || relname || '.' || tgname, pg_get_triggerdef(t.oid) || tgenabled::text"
        "   FROM pg_trigger t JOIN mine ON mine.oid = tgrelid WHERE NOT tgisinternal"
        " UNION ALL SELECT 'function ' || proname, prosrc || coalesce(array_to_string(proconfig, ','), '')"
        "   FROM pg_proc WHERE pronamespace = 'public'::regnamespace AND prorettype = 'trigger'::regtype"
        " UNION ALL SELECT 'rule ' || tablename || '.' || rulename, definition FROM pg_rules WHERE schemaname = 'public'"
        " UNION ALL SELECT 'policy ' || tablename || '.' || policyname, coalesce(qual, '') || coalesce(with_check, '')"
        "   FROM pg_policies WHERE schemaname = 'public'"
        " UNION ALL SELECT 'row security ' || relname, relforcerowsecurity::text FROM pg_class"
        "   WHERE relnamespace = 'public'::regnamespace AND relrowsecurity"
        " ORDER BY 1"
    )
    return [(name, sql) for name, sql in found]


def _plain(sql: str) -> str:
    """Definitions without what may differ for no reason: blanks, quotes, case, and the order of a table's lines."""
    if sql.startswith("CREATE TABLE"):
        sql = "\n".join(sorted(line.strip().rstrip(",") for line in sql.splitlines()))
    return " ".join(sql.replace('"', " ").split()).lower().replace("( ", "(").replace(" )", ")").replace(" ,", ",")


@cache
def expected_print(engine: str) -> dict[str, str]:
    """The fingerprint of this release's schema, kept with the code and held by a test to what the migrations make."""
    return json.loads(FINGERPRINTS.read_text())[engine]


def differences(db: sa.Connection) -> list[str]:
    """In words, what stands in the way of trusting this schema; empty when it is the one this release expects."""
    wanted, found = expected_print(db.dialect.name), schema_print(db)
    missing = [f"{name} is missing" for name in wanted if name not in found]
    changed = [f"{name} was changed" for name in wanted if name in found and found[name] != wanted[name]]
    extra = [f"{name} is not ours" for name in found if name not in wanted]
    return missing + changed + extra


def require_modest_role(db: sa.Connection) -> None:
    """On PostgreSQL, refuse to serve as a role that could do more than the work needs: guards bind it no longer."""
    if db.dialect.name != "postgresql":
        return
    mighty = db.exec_driver_sql(
        "SELECT bool_or(pg_has_role(current_user, relowner, 'USAGE') OR has_table_privilege(oid, 'DELETE') OR has_table_privilege(oid, 'TRIGGER'))"
        " FROM pg_class WHERE relnamespace = 'public'::regnamespace AND relkind = 'r'"
    ).scalar()
    if mighty:
        who = db.exec_driver_sql("SELECT current_user").scalar()
        raise Refused(
            Reason("schema_changed", f"The role {who} that requests run as owns the tables or may delete from them.",
                   next="Make a role that owns nothing, name it in PAIRBOOK_DATABASE_URL and the owner in PAIRBOOK_OWNER_URL, and run `pairbook init`.")
        )  # fmt: skip


def require_schema(db: sa.Connection) -> None:
    """Refuse to write into a database whose guards are not those of this release."""
    if found := differences(db):
        some = "; ".join(found[:4]) + (f"; and {len(found) - 4} more" if len(found) > 4 else "")
        raise Refused(
            Reason("schema_changed", f"The database is not as this release of Pairbook left it: {some}.",
                   next="Nothing is written until it is. Run `pairbook init` to bring it up, or restore the last backup.")
        )  # fmt: skip
