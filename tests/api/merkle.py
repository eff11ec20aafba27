"""RFC 9162 and signed notes worked out again from the documents alone: nothing of the program under test is used."""

import base64
import hashlib

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey


def leaf_hash(entry: bytes) -> bytes:
    return hashlib.sha256(b"\x00" + entry).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    return hashlib.sha256(b"\x01" + left + right).digest()


def root_of(leaves: list[bytes]) -> bytes:
    """MTH of section 2.1.1, by its recursive definition."""
    if not leaves:
        return hashlib.sha256(b"").digest()
    if len(leaves) == 1:
        return leaves[0]
    split = 1
    while split * 2 < len(leaves):
        split *= 2
    return node_hash(root_of(leaves[:split]), root_of(leaves[split:]))


def root_of_proof(index: int, size: int, leaf: bytes, steps: list[bytes]) -> bytes:
    """The root that an inclusion proof leads to, walked down from the root and back: which side each step stands on
    follows from where the leaf lies in the tree."""
    sides = []
    first, width = 0, size
    while width > 1:
        split = 1
        while split * 2 < width:
            split *= 2
        if index < first + split:
            sides.append("right")
            width = split
        else:
            sides.append("left")
            first, width = first + split, width - split
    assert len(steps) == len(sides), "the proof has another length than the place of the leaf asks for"
    here = leaf
    for step, side in zip(steps, reversed(sides), strict=True):
        here = node_hash(here, step) if side == "right" else node_hash(step, here)
    return here


def roots_of_growth(old: int, new: int, old_root: bytes, steps: list[bytes]) -> tuple[bytes, bytes]:
    """(root of the earlier tree, root of the later) that a consistency proof leads to, by the recursion of RFC 9162
    section 2.1.4.1 read backwards: the program walks the other way round (2.1.4.2)."""
    left_over = iter(steps)

    def part(inside: int, width: int, whole: bool) -> tuple[bytes, bytes]:
        if inside == width:
            here = old_root if whole else next(left_over)
            return here, here
        split = 1
        while split * 2 < width:
            split *= 2
        if inside <= split:
            earlier, later = part(inside, split, whole)
            return earlier, node_hash(later, next(left_over))
        earlier, later = part(inside - split, width - split, False)
        step = next(left_over)
        return node_hash(step, earlier), node_hash(step, later)

    both = part(old, new, True)
    assert next(left_over, None) is None, "the proof is longer than the two sizes ask for"
    return both


def open_note(note: str, vkey: str) -> tuple[str, int, bytes]:
    """(origin, size, root) of a checkpoint whose signature this public key fits; raises for any other."""
    name, key_hash, encoded = vkey.split("+", 2)
    raw = base64.b64decode(encoded, validate=True)
    assert raw[0] == 1, "the key says that it is not Ed25519"
    assert hashlib.sha256(name.encode() + b"\n" + raw).digest()[:4].hex() == key_hash
    text, _, signature = note.rpartition("\n\n")
    text += "\n"
    dash, signer, blob = signature.rstrip("\n").split(" ")
    assert (dash, signer) == ("\u2014", name)
    signed = base64.b64decode(blob, validate=True)
    assert signed[:4].hex() == key_hash
    Ed25519PublicKey.from_public_bytes(raw[1:]).verify(signed[4:], text.encode())
    origin, size, root, rest = text.split("\n")
    assert rest == ""
    return origin, int(size), base64.b64decode(root, validate=True)
