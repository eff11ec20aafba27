"""The interface described as OpenAPI 3.1, made from the acts and the routes themselves."""

import re
from functools import cache
from typing import Any

from flask import current_app

from registry import __version__
from registry.acts.act import Act
from registry.acts.catalogue import ACTS
from registry.acts.shapes import FileGiven
from registry.domain.exports import FORMATS
from registry.domain.imports import DAY_ORDERS, ENCODINGS
from registry.domain.people import name_roles
from registry.errors import CODES
from registry.photos import MEDIA_TYPES

_QUERY = {
    "api.resolved": ["text"], "api.where": ["thing", "at", "known_on"], "api.every": ["at", "known_on"], "api.fit": ["at", "known_on", "from", "to", "use"], "api.vehicle": ["at", "known_on"],
    "api.bay": ["at", "known_on"], "api.pair": ["at", "known_on"], "api.pair_history": ["at", "known_on"], "api.half": ["at", "known_on"],
    "api.every_station": ["at", "known_on"], "api.station": ["at", "known_on"], "api.every_meter": ["at", "known_on"], "api.meter": ["at", "known_on"],
    "api.every_mission": ["at", "known_on", "skip"], "api.mission": ["at", "known_on"], "api.every_impact": ["skip"],
    "api.plan": ["at", "known_on", "site"], "api.open_holds": ["at", "known_on"], "api.entries": ["after"], "api.proof": ["seq"],
    "api.audit": ["skip"], "api.out_of_the_house": ["at", "known_on"],
    "api.bay_spares": ["at", "known_on"], "api.voyage_spares": ["sailing", "at", "known_on"],
    "api.fewest_openings": ["sailing", "accept_care", "at", "known_on"],
    "api.bay_alignments": ["at", "known_on"], "api.alignment": ["at", "known_on"], "api.mounting_check": ["at", "known_on"],
    "api.bay_settings": ["at", "known_on"], "api.settings_sheet": ["at", "known_on"], "api.readback": ["at", "known_on"],
    "api.send_file": ["name"], "api.take_import": ["name", "kind"], "api.due_verifications": ["at", "known_on"], "api.marks": ["at", "known_on"],
}  # fmt: skip
_PARAMETER = re.compile(r"<(?:\w+:)?(\w+)>")


def document() -> dict[str, Any]:
    """The whole document."""
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Pairbook",
            "version": __version__,
            "description": "Matched halves, the bays they sit in, and the acts that change the record.",
        },
        "servers": [{"url": "/api/v1"}],
        "security": [{"token": []}],
        "paths": _paths(),
        "components": {
            "securitySchemes": {"token": {"type": "http", "scheme": "bearer"}},
            "schemas": {
                "Problem": _problem(),
                "Act": {"oneOf": [{"$ref": f"#/components/schemas/{name}"} for name in sorted(ACTS)]},
                **_acts(),
            },
        },
    }


@cache
def _acts() -> dict[str, Any]:
    return {name: _schema(cls) for name, cls in sorted(ACTS.items())}


def _schema(cls: type[Act]) -> dict[str, Any]:
    """The fields of one act, with its name and version, as anybody would send them."""
    schema = cls.model_json_schema(mode="validation", ref_template=f"#/components/schemas/{cls.name}/$defs/{{model}}")
    schema["title"] = cls.says
    schema["description"] = f"{(cls.__doc__ or '').strip()}\n\nMay be done by {name_roles(cls.may)}."
    schema["properties"] = {"act": {"const": cls.name}, "version": {"const": cls.version}, **schema["properties"]}
    schema["required"] = ["act", "version", *schema.get("required", [])]
    schema["properties"]["happened_at"] = {
        "type": "string",
        "format": "date-time",
        "description": "RFC 3339 with an offset.",
    }
    schema["properties"]["id"] = {
        "type": "string",
        "format": "uuid",
        "description": "A UUID of version 7, made by the sender.",
    }
    if cls.private is not None:
        schema["properties"]["private"] = cls.private.model_json_schema()
        schema["required"].append("private")
    return schema


def _problem() -> dict[str, Any]:
    reason = {
        "type": "object",
        "required": ["code", "message", "field"],
        "properties": {
            "code": {"enum": sorted(CODES)},
            "message": {"type": "string"},
            "field": {"type": ["string", "null"]},
            "next": {"type": "string"},
            "offer": {"type": "object"},
        },
    }
    return {
        "type": "object",
        "description": "RFC 9457. Every refusal has this shape; `reasons` holds all of them at once.",
        "required": ["type", "title", "status", "code", "detail", "reasons"],
        "properties": {
            "type": {"type": "string"},
            "title": {"type": "string"},
            "status": {"type": "integer"},
            "code": {"type": "string"},
            "detail": {"type": "string"},
            "reasons": {"type": "array", "items": reason},
        },
    }


def _paths() -> dict[str, Any]:
    paths: dict[str, Any] = {}
    for rule in current_app.url_map.iter_rules():
        if not rule.endpoint.startswith("api."):
            continue
        view = current_app.view_functions[rule.endpoint]
        path = _PARAMETER.sub(r"{\1}", rule.rule.removeprefix("/api/v1"))
        for method in sorted((rule.methods or set()) & {"GET", "POST"}):
            paths.setdefault(path, {})[method.lower()] = _operation(
                rule.endpoint, method, (view.__doc__ or "").strip(), _PARAMETER.findall(rule.rule)
            )
    return paths


def _export() -> dict[str, Any]:
    names = {"type": "array", "items": {"type": "string"}}
    told = {"format": {"enum": list(FORMATS)}, "tables": names, "names": {"type": "boolean"}}
    return {"type": "object", "properties": told}


def _step() -> dict[str, Any]:
    texts = {"type": "object", "additionalProperties": {"type": "string"}}
    told = {
        "columns": texts,
        "fixed": texts,
        "order": {"enum": list(DAY_ORDERS)},
        "encoding": {"enum": list(ENCODINGS)},
    }
    return {"type": "object", "properties": {**told, "near_are_others": {"type": "boolean"}}}


_BYTES = {"type": "string", "format": "binary"}


#: Where tables come in and go out.
_EXCHANGE = ("api.export", "api.take_import", "api.import_step")


def _exchange(endpoint: str, answers: dict[str, Any]) -> dict[str, Any]:
    """What is sent to these, and what they answer."""
    if endpoint == "api.take_import":
        laid = {"description": "The file is laid down; its columns are guessed."}
        return {"requestBody": {"required": True, "content": _file_bodies()}, "responses": answers | {"201": laid}}
    told = _export() if endpoint == "api.export" else _step()
    body = {"required": True, "content": {"application/json": {"schema": told}}}
    if endpoint == "api.export":
        return {"requestBody": body, "responses": answers | {"200": {"description": "The file.", "content": {"*/*": {"schema": _BYTES}}}}}  # fmt: skip
    return {"requestBody": body, "responses": answers | {"202": {"description": "It goes on by itself."}}}


def _file_bodies() -> dict[str, Any]:
    """The raw file, or a form with it."""
    form = {"type": "object", "required": ["file"], "properties": {"file": _BYTES}}
    return {"application/octet-stream": {"schema": _BYTES}, "multipart/form-data": {"schema": form}}


def _file_answer(words: str) -> dict[str, Any]:
    """What an act names a file by."""
    return {"description": words, "content": {"application/json": {"schema": FileGiven.model_json_schema()}}}


_STILL = "Its long work still runs, and nothing is entered yet; `working` says how far it is. Send the same again."


def _operation(endpoint: str, method: str, words: str, in_path: list[str]) -> dict[str, Any]:
    parameters = [{"name": name, "in": "path", "required": True, "schema": {"type": "string"}} for name in in_path]
    parameters += [
        {"name": name, "in": "query", "required": name in ("text", "thing", "seq"), "schema": {"type": "string"}}
        for name in _QUERY.get(endpoint, [])
    ]
    problem = {
        "description": "Refused. Nothing was written.",
        "content": {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}},
    }
    operation: dict[str, Any] = {
        "operationId": endpoint.removeprefix("api."),
        "summary": words.split("\n")[0],
        "parameters": parameters,
        "responses": {"200": {"description": "Done."}, "default": problem},
    }
    if endpoint in _EXCHANGE:
        operation |= _exchange(endpoint, operation["responses"])
    elif endpoint in ("api.act", "api.check"):
        operation["requestBody"] = {
            "required": True,
            "content": {"application/json": {"schema": {"$ref": "#/components/schemas/Act"}}},
        }
        operation["responses"]["202"] = {"description": _STILL}
    elif endpoint == "api.read":
        picture = {"schema": {"type": "string", "format": "binary"}}
        operation["requestBody"] = {"required": True, "content": dict.fromkeys(MEDIA_TYPES, picture)}
    elif endpoint == "api.send_file":
        operation["requestBody"] = {"required": True, "content": _file_bodies()}
        operation["responses"]["200"] = _file_answer("The file was there already.")
        operation["responses"]["201"] = _file_answer("The file is kept.")
    elif method == "POST":
        labels = {
            "type": "object",
            "required": ["labels"],
            "properties": {"labels": {"type": "array", "minItems": 1, "maxItems": 200, "items": {"type": "string"}}},
        }
        operation["requestBody"] = {"required": True, "content": {"application/json": {"schema": labels}}}
    if endpoint == "api.file":
        operation["responses"]["200"]["content"] = {"*/*": {"schema": _BYTES}}
    if endpoint == "api.act":
        operation["responses"]["201"] = {"description": "The act is in the log."}
    if endpoint == "api.openapi":
        operation["security"] = []
    return operation
