"""The description of the interface: valid by the standard's own library, complete, and true of what is answered."""

import inspect
import re

import pytest

from registry.acts.act import ACTS
from registry.api.openapi import document
from registry.errors import CODES
from tests.web.doors import Doors
from tests.web.spelling import EXAMPLES, example


@pytest.fixture(scope="module")
def described(untouched: Doors) -> dict:
    answer = untouched.stranger().client.get("/api/v1/openapi.json")
    assert answer.status_code == 200
    return answer.json


def test_the_document_is_openapi_by_the_books(described: dict):
    from openapi_spec_validator import OpenAPIV31SpecValidator

    assert described["openapi"].startswith("3.1")
    assert [fault.message for fault in OpenAPIV31SpecValidator(described).iter_errors()] == []


def test_every_route_is_described_by_every_method_it_takes(described: dict, untouched: Doors):
    routes = {
        (re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", rule.rule.removeprefix("/api/v1")), method.lower())
        for rule in untouched.app.url_map.iter_rules()
        if rule.rule.startswith("/api/v1")
        for method in rule.methods & {"GET", "POST", "PUT", "PATCH", "DELETE"}
    }
    assert {(path, method) for path, methods in described["paths"].items() for method in methods} == routes


def test_every_act_is_described_with_who_may_do_it(described: dict):
    schemas = described["components"]["schemas"]
    assert set(ACTS) <= set(schemas)
    assert {one["$ref"] for one in schemas["Act"]["oneOf"]} == {f"#/components/schemas/{name}" for name in ACTS}
    for name, cls in ACTS.items():
        assert schemas[name]["title"] == cls.says
        assert "May be done by" in schemas[name]["description"]
        assert schemas[name]["properties"]["act"] == {"const": name}
        assert {"act", "version", "id", "happened_at"} <= set(schemas[name]["required"])
        assert schemas[name]["additionalProperties"] is False


def test_every_reference_leads_somewhere(described: dict):
    for pointer in set(re.findall(r"'\$ref': '([^']+)'", str(described))):
        here: object = described
        for part in pointer.removeprefix("#/").split("/"):
            assert part in here, pointer  # type: ignore[operator]
            here = here[part]  # type: ignore[index]


def test_every_code_of_a_refusal_is_described(described: dict):
    reason = described["components"]["schemas"]["Problem"]["properties"]["reasons"]["items"]
    assert set(reason["properties"]["code"]["enum"]) == set(CODES)


def test_every_question_a_route_reads_is_described(described: dict, untouched: Doors):
    """Read off the functions themselves: `request.args.get("x")`, `number("x")`, moment(), which reads two, and _sailings()."""
    for rule in untouched.app.url_map.iter_rules():
        if not rule.endpoint.startswith("api."):
            continue
        source = inspect.getsource(untouched.app.view_functions[rule.endpoint])
        read = set(re.findall(r'args\.get\("(\w+)"', source)) | set(re.findall(r'number\("(\w+)"', source))
        read |= {"at", "known_on"} if re.search(r"\bmoment\(", source) else set()
        read |= {"sailing"} if "_sailings(" in source else set()
        path = re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", rule.rule.removeprefix("/api/v1"))
        told = {
            parameter["name"]
            for method in described["paths"][path].values()
            for parameter in method["parameters"]
            if parameter["in"] == "query"
        }
        assert told == read, path


def test_every_operation_has_words_and_says_how_it_refuses(described: dict):
    for path, methods in described["paths"].items():
        for operation in methods.values():
            assert operation["summary"].endswith("."), path
            assert "application/problem+json" in operation["responses"]["default"]["content"], path


def test_what_is_open_is_described_as_open_and_nothing_else(described: dict):
    opened = {
        path
        for path, methods in described["paths"].items()
        for operation in methods.values()
        if operation.get("security") == []
    }
    assert opened == {"/openapi.json"}
    assert described["security"] == [{"token": []}]


@pytest.mark.parametrize("act", EXAMPLES)
def test_what_is_lawful_fits_its_own_description(act: str, described: dict, untouched: Doors):
    """By a general library: whoever builds a client from the document can send every act."""
    from openapi_schema_validator import OAS31Validator

    validator = OAS31Validator({"$ref": f"#/components/schemas/{act}", "components": described["components"]})
    assert [fault.message for fault in validator.iter_errors(example(untouched.world, act))] == []
    strange = [fault.message for fault in validator.iter_errors(example(untouched.world, act) | {"colour": "red"})]
    assert len(strange) == 1


def test_the_document_is_the_same_for_everybody(described: dict, untouched: Doors):
    assert untouched.api("maren").get("/openapi.json").json == described
    with untouched.app.test_request_context():
        assert document()["info"]["title"] == "Pairbook"
