"""The log against published sources: Merkle trees, canonical JSON, hashes, signatures, notes, checkpoints, instants, ids.

Each case stands in data/ledger_cases.json with the source of its group.
"""

import base64
import hashlib
import json
import struct
import uuid
from datetime import datetime
from pathlib import Path

import pytest
import rfc8785
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

from registry.acts import ids, tree
from registry.acts.checkpoints import Verifier, read_checkpoint
from registry.domain.times import UTC, parse_rfc3339, stamp

GROUPS = {
    group["id"]: group
    for group in json.loads((Path(__file__).parent / "data" / "ledger_cases.json").read_text("utf-8"))["groups"]
}


def cases(group: str) -> list:
    """The cases of a group, each named with its source."""
    told = GROUPS[group]
    return [
        pytest.param(case, id=f"{group}-{number} [{told['standard']}]") for number, case in enumerate(told["cases"])
    ]


def b64(texts: list[str] | None) -> list[bytes]:
    return [base64.b64decode(text) for text in texts or []]


def _node(leaves: list[bytes]):
    """Hashes of complete subtrees, worked out from the leaves' data alone."""

    def node(level: int, ix: int) -> bytes:
        if level == 0:
            return hashlib.sha256(b"\x00" + leaves[ix]).digest()
        return hashlib.sha256(b"\x01" + node(level - 1, 2 * ix) + node(level - 1, 2 * ix + 1)).digest()

    return node


REFERENCE = [
    bytes.fromhex(text)
    for text in max((case["leaves_hex"] for case in GROUPS["merkle-reference-tree"]["cases"]), key=len)
]


@pytest.mark.parametrize("case", cases("merkle-reference-tree"))
def test_a_root_is_that_of_the_reference_tree(case):
    leaves = [bytes.fromhex(text) for text in case["leaves_hex"]]
    assert tree.root(case["size"], _node(leaves)).hex() == case["root_hex"]


def test_nodes_grown_leaf_by_leaf_give_the_same_roots():
    """What the log keeps: the subtrees each new entry completes."""
    kept: dict[tuple[int, int], bytes] = {}

    def node(level: int, ix: int) -> bytes:
        return tree.leaf_hash(REFERENCE[ix]) if level == 0 else kept[level, ix]

    for index, data in enumerate(REFERENCE):
        for level, ix, value in tree.completed_by(index, tree.leaf_hash(data), node):
            kept[level, ix] = value
        assert tree.root(index + 1, node) == tree.root(index + 1, _node(REFERENCE))


@pytest.mark.parametrize("case", cases("merkle-inclusion"))
def test_an_inclusion_proof_is_judged_as_the_source_does(case):
    leaf, root = b64([case["leaf_hash_b64"]])[0], b64([case["root_b64"]])[0]
    found = tree.root_from_inclusion(case["leaf_index"], case["tree_size"], leaf, b64(case["proof_b64"]))
    assert (found == root) == case["valid"], case["desc"]


@pytest.mark.parametrize("case", cases("merkle-consistency"))
def test_a_consistency_proof_is_judged_as_the_source_does(case):
    one, other = b64([case["root1_b64"], case["root2_b64"]])
    assert tree.is_consistent(case["size1"], case["size2"], one, other, b64(case["proof_b64"])) == case["valid"], case[
        "desc"
    ]


@pytest.mark.parametrize("case", cases("merkle-8leaf-proofs"))
def test_a_proof_is_that_of_the_reference_tree(case):
    node = _node(REFERENCE)
    if case["kind"] == "inclusion":
        proof = tree.inclusion_proof(case["leaf_index"], case["tree_size"], node)
    else:
        proof = tree.consistency_proof(case["size1"], case["size2"], node)
    assert [step.hex() for step in proof] == case["proof_hex"]


@pytest.mark.parametrize("size", range(1, 40))
def test_every_proof_of_a_tree_leads_to_its_root_and_no_other(size: int):
    leaves = [number.to_bytes(2, "big") for number in range(size)]
    node, root = _node(leaves), tree.root(size, _node(leaves))
    for index in range(size):
        proof = tree.inclusion_proof(index, size, node)
        assert tree.root_from_inclusion(index, size, node(0, index), proof) == root
        assert tree.root_from_inclusion((index + 1) % size, size, node(0, index), proof) != root or size == 1
    for old in range(1, size + 1):
        proof = tree.consistency_proof(old, size, node)
        assert tree.is_consistent(old, size, tree.root(old, node), root, proof)
        assert not tree.is_consistent(old, size, tree.root(old, node), b"\x00" * 32, proof)


@pytest.mark.parametrize(("old", "new"), [(0, 1), (2, 1), (-1, 3)])
def test_proofs_between_trees_that_cannot_be_are_refused(old: int, new: int):
    with pytest.raises(ValueError, match="earlier tree"):
        tree.consistency_proof(old, new, _node(REFERENCE))
    assert not tree.is_consistent(old, new, tree.EMPTY, tree.EMPTY, [])


@pytest.mark.parametrize("case", cases("jcs-objects"))
def test_canonical_json_is_that_of_the_source(case):
    written = rfc8785.dumps(json.loads(case["input_text"]))
    assert written.hex() == case["output_utf8_hex"]
    assert hashlib.sha256(written).hexdigest() == case["sha256_hex"]


@pytest.mark.parametrize("case", cases("jcs-numbers"))
def test_a_number_is_written_as_the_source_does(case):
    number = struct.unpack(">d", bytes.fromhex(case["ieee754_hex"]))[0]
    if case["json"] is None:
        with pytest.raises(rfc8785.CanonicalizationError):
            rfc8785.dumps(number)
    else:
        assert rfc8785.dumps(number).decode() == case["json"]


def test_what_canonical_json_cannot_hold_is_refused():
    assert [case["value"] for case in GROUPS["jcs-negative"]["cases"]] == ["9007199254740993", "lone surrogate U+D800"]
    for value in (9007199254740993, "\ud800"):
        with pytest.raises((rfc8785.CanonicalizationError, ValueError)):
            rfc8785.dumps(value)


@pytest.mark.parametrize("case", cases("sha256"))
def test_a_hash_is_that_of_the_source(case):
    data = bytes.fromhex(case["repeat_hex"]) * case["times"] if "times" in case else bytes.fromhex(case["msg_hex"])
    assert hashlib.sha256(data).hexdigest() == case["digest_hex"]
    assert tree.leaf_hash(data) == hashlib.sha256(b"\x00" + data).digest()


@pytest.mark.parametrize("case", cases("ed25519"))
def test_a_signature_is_that_of_the_source(case):
    key = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(case["secret_hex"]))
    assert key.public_key().public_bytes_raw().hex() == case["public_hex"]
    assert key.sign(bytes.fromhex(case["msg_hex"])).hex() == case["sig_hex"]


@pytest.mark.parametrize("case", cases("ed25519-negative"))
def test_a_false_signature_is_judged_as_the_source_does(case):
    public = Ed25519PublicKey.from_public_bytes(bytes.fromhex(case["public_hex"]))
    try:
        public.verify(bytes.fromhex(case["sig_hex"]), bytes.fromhex(case["msg_hex"]))
        valid = True
    except InvalidSignature:
        valid = False
    assert valid == case.get("valid", valid)
    if "small-order" not in case["name"]:  # A key like that is never taken from anybody: keys are pinned.
        assert not valid


@pytest.mark.parametrize("case", cases("signed-note"))
def test_a_note_is_opened_only_when_its_signature_fits(case):
    verifier = Verifier.read(case["vkey"])
    note = f"{case['text']}\n{case['sig_line']}\n"
    if case["valid"]:
        assert verifier.open(note) == case["text"]
        assert verifier.encoded() == case["vkey"]
        # Lines of other signers, before and after, change nothing.
        assert verifier.open(note + "— elsewhere.example AAAAAAAA\n") == case["text"]
    else:
        with pytest.raises(ValueError, match="does not fit the text"):
            verifier.open(note)


@pytest.mark.parametrize(
    "vkey",
    [
        "",
        "a+b",
        "example.com/foo+530d903b+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k",
        "example.com/bar+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k",
        "example.com/foo+530d903a+!!!",
    ],
)
def test_a_key_that_was_copied_wrong_is_refused(vkey: str):
    with pytest.raises(ValueError, match="public key"):
        Verifier.read(vkey)


@pytest.mark.parametrize("case", cases("checkpoint-format"))
def test_a_checkpoint_is_read_as_the_source_has_it(case):
    if not case["valid_format"]:
        with pytest.raises(ValueError, match="not a checkpoint"):
            read_checkpoint(case["text"])
        return
    point = read_checkpoint(case["text"])
    assert (point.origin, point.size, point.root) == (case["origin"], case["size"], base64.b64decode(case["root_b64"]))
    assert point.text() == case["text"]


#: Refused here on purpose, though the grammar has it: no datetime holds a leap second, and `-00:00` does not say the
#: place's own clock, which an entry keeps.
NOT_KEPT = ("1990-12-31T23:59:60Z", "1990-12-31T15:59:60-08:00", "2026-01-01T00:00:00-00:00")


@pytest.mark.parametrize("case", cases("rfc3339"))
def test_an_instant_is_read_as_the_grammar_has_it(case):
    if case["valid"] and case["text"] not in NOT_KEPT:
        when = parse_rfc3339(case["text"])
        if case["note_or_utc"].endswith("Z"):
            assert stamp(when) == stamp(datetime.fromisoformat(case["note_or_utc"]))
    else:
        with pytest.raises(ValueError, match=r"[.]$"):
            parse_rfc3339(case["text"])


@pytest.mark.parametrize("case", cases("uuidv7"))
def test_an_id_has_the_layout_of_the_source(case):
    parts = {12: int(case["rand_a_hex"], 16), 62: int(case["rand_b_hex"], 16)}
    made = ids.new_id(datetime.fromtimestamp(case["unix_ts_ms"] / 1000, UTC), parts.__getitem__)
    assert made == case["uuid"]
    assert (uuid.UUID(made).version, uuid.UUID(made).variant) == (case["ver"], uuid.RFC_4122)


def test_every_group_that_is_carried_is_used():
    source = Path(__file__).read_text("utf-8")
    assert all(f'"{group}"' in source for group in GROUPS)
    assert all(group["source"] and group["standard"] for group in GROUPS.values())
