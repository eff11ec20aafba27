"""Evidence packs against what did not make them: PDFium for the file in the PDF, pymerkle (RFC 6962 trees, as RFC 9162 keeps
them) for roots and proofs, and C2SP signed-note and RFC 9162 worked out again from their texts (tests/api/merkle.py)."""

import base64
import io
import json
from typing import Any

import pypdfium2
import pytest
from pymerkle import InmemoryTree
from pymerkle.proof import InclusionProof

from registry.domain.packs import FILE
from tests.api import merkle
from tests.printed import read
from tests.web.doors import Doors
from tests.web.fixtures import *  # noqa: F403


def attachment(pdf: bytes) -> bytes:
    """The one file in a PDF, as PDFium finds it."""
    document = pypdfium2.PdfDocument(io.BytesIO(pdf))
    assert document.count_attachments() == 1
    one = document.get_attachment(0)
    assert one.get_name() == FILE
    return bytes(one.get_data())


@pytest.fixture(scope="module")
def pdf(untouched: Doors) -> bytes:
    return untouched.visitor("piet").get("/missions/M-1/pack.pdf").response.get_data()


@pytest.fixture(scope="module")
def told(pdf: bytes) -> dict[str, Any]:
    return json.loads(attachment(pdf))


def raw_of(told: dict[str, Any]) -> dict[int, bytes]:
    return {one["seq"]: base64.b64decode(one["entry"], validate=True) for one in told["entries"]}


def test_the_signature_and_every_proof_hold_by_the_documents_alone(untouched: Doors, told: dict[str, Any]):
    origin, size, root = merkle.open_note(
        told["checkpoint"], untouched.cli("checkpoint", "--public-key").stdout.strip()
    )
    assert (origin, size) == ("pairbook.example/K", untouched.size())
    for one in told["entries"]:
        leaf = merkle.leaf_hash(base64.b64decode(one["entry"], validate=True))
        assert leaf.hex() == one["leaf"]
        steps = [base64.b64decode(step, validate=True) for step in one["proof"]]
        assert merkle.root_of_proof(one["seq"] - 1, size, leaf, steps) == root


def test_an_independent_library_builds_the_same_tree_and_accepts_every_proof(untouched: Doors, told: dict[str, Any]):
    built = InmemoryTree(algorithm="sha256")
    for row in sorted(untouched.rows("log_entry"), key=lambda row: row.seq):
        built.append_entry(bytes(row.entry))
    root = built.get_root()
    assert base64.b64decode(told["checkpoint"].split("\n")[2]) == root
    for one in told["entries"]:
        mine = built.prove_inclusion(one["seq"], built.get_size())
        steps = [base64.b64decode(step) for step in one["proof"]]
        leaf = bytes.fromhex(one["leaf"])
        assert mine.path == [leaf, *steps]
        theirs = InclusionProof.deserialize(mine.serialize() | {"path": [step.hex() for step in [leaf, *steps]]})
        theirs.verify(built.get_leaf(one["seq"]), root)


@pytest.mark.parametrize("old", [1, 7, 32, 40])
def test_the_proof_that_the_log_grew_leads_from_root_to_root_of_an_independent_library(untouched: Doors, old: int):
    """C2SP tlog-witness for the form; pymerkle for the two roots; RFC 9162 section 2.1.4.1 for the way between them."""
    head, _, note = untouched.cli("checkpoint", "--since", str(old)).stdout.partition("\n\n")
    first, *steps = head.split("\n")
    assert first == f"old {old}"
    built = InmemoryTree(algorithm="sha256")
    for row in sorted(untouched.rows("log_entry"), key=lambda row: row.seq):
        built.append_entry(bytes(row.entry))
    ours = [base64.b64decode(step, validate=True) for step in steps]
    roots = built.get_root(old), built.get_root()
    assert merkle.roots_of_growth(old, built.get_size(), roots[0], ours) == roots
    assert base64.b64decode(note.split("\n")[2]) == roots[1]


def test_the_paper_prints_the_leaf_hash_of_every_entry_it_carries(pdf: bytes, told: dict[str, Any]):
    words, symbols = read(pdf)
    text = " ".join(words)
    assert len(symbols) == 1 and "/missions/" in symbols[0]
    for one in told["entries"]:
        assert one["leaf"] in text
    for one in told["statements"]:
        assert one["told"].replace("−", "-") in text


def test_no_name_of_a_person_goes_with_the_file(untouched: Doors, pdf: bytes, told: dict[str, Any]):
    names = {row.name for row in untouched.rows("person_private")}
    assert "Ida" in names
    attached = json.dumps(told, ensure_ascii=False) + " ".join(raw.decode() for raw in raw_of(told).values())
    assert [name for name in names if f"{name} " in attached or f'"{name}"' in attached] == []
    assert "Ida" in " ".join(read(pdf)[0])
