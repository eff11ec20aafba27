"""The Merkle tree of RFC 9162 section 2.1 over the entries' bytes: roots, inclusion and consistency proofs.

All of it is pure: where stored nodes are needed, the caller hands in `node(level, ix)`, which gives the hash of the
complete subtree of 2**level leaves that starts at leaf ix * 2**level.
"""

import hashlib
from collections.abc import Callable, Iterator

Node = Callable[[int, int], bytes]
EMPTY = hashlib.sha256(b"").digest()


def leaf_hash(entry: bytes) -> bytes:
    return hashlib.sha256(b"\x00" + entry).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    return hashlib.sha256(b"\x01" + left + right).digest()


def completed_by(index: int, leaf: bytes, node: Node) -> Iterator[tuple[int, int, bytes]]:
    """(level, ix, hash) of every subtree of level 1 and above that the leaf number `index` (from 0) completes."""
    level, here = 0, leaf
    while index & 1:
        here = node_hash(node(level, index - 1), here)
        index >>= 1
        level += 1
        yield level, index, here


def _split(size: int) -> int:
    """The largest power of two below `size`."""
    return 1 << (size - 1).bit_length() - 1


def _range(first: int, size: int, node: Node) -> bytes:
    """Hash over `size` leaves from `first`, which lies on a boundary of the tree."""
    if size & (size - 1) == 0:
        level = size.bit_length() - 1
        return node(level, first >> level)
    left = _split(size)
    return node_hash(_range(first, left, node), _range(first + left, size - left, node))


def root(size: int, node: Node) -> bytes:
    """The root over the first `size` leaves."""
    return _range(0, size, node) if size else EMPTY


def inclusion_proof(index: int, size: int, node: Node) -> list[bytes]:
    """The audit path of leaf `index` (from 0) in the tree of `size` leaves (RFC 9162 section 2.1.3.1)."""
    if not 0 <= index < size:
        raise ValueError("that leaf is not in the tree")

    def path(index: int, first: int, size: int) -> list[bytes]:
        if size == 1:
            return []
        left = _split(size)
        if index < left:
            return [*path(index, first, left), _range(first + left, size - left, node)]
        return [*path(index - left, first + left, size - left), _range(first, left, node)]

    return path(index, 0, size)


def consistency_proof(old: int, new: int, node: Node) -> list[bytes]:
    """Shows that the first `old` leaves of the tree of `new` leaves are the whole earlier tree (section 2.1.4.1)."""
    if not 0 < old <= new:
        raise ValueError("the earlier tree must hold at least one entry and no more than the later")

    def part(old: int, first: int, size: int, whole: bool) -> list[bytes]:
        if old == size:
            return [] if whole else [_range(first, size, node)]
        left = _split(size)
        if old <= left:
            return [*part(old, first, left, whole), _range(first + left, size - left, node)]
        return [*part(old - left, first + left, size - left, False), _range(first, left, node)]

    return part(old, 0, new, True)


def root_from_inclusion(index: int, size: int, leaf: bytes, proof: list[bytes]) -> bytes | None:
    """The root that an audit path leads to, or None when the path does not fit (section 2.1.3.2)."""
    if not 0 <= index < size:
        return None
    fn, sn, here = index, size - 1, leaf
    for step in proof:
        if sn == 0:
            return None
        if fn & 1 or fn == sn:
            here = node_hash(step, here)
            while not fn & 1 and fn:
                fn, sn = fn >> 1, sn >> 1
        else:
            here = node_hash(here, step)
        fn, sn = fn >> 1, sn >> 1
    return here if sn == 0 else None


def is_consistent(old: int, new: int, old_root: bytes, new_root: bytes, proof: list[bytes]) -> bool:
    """Whether the proof shows that the earlier tree is the beginning of the later one (section 2.1.4.2)."""
    if not 0 < old <= new:
        return False
    if old == new:
        return not proof and old_root == new_root
    path = [old_root, *proof] if old & (old - 1) == 0 else list(proof)
    if not path:
        return False
    fn, sn = old - 1, new - 1
    while fn & 1:
        fn, sn = fn >> 1, sn >> 1
    first = second = path[0]
    for step in path[1:]:
        if sn == 0:
            return False
        if fn & 1 or fn == sn:
            first, second = node_hash(step, first), node_hash(step, second)
            while not fn & 1 and fn:
                fn, sn = fn >> 1, sn >> 1
        else:
            second = node_hash(second, step)
        fn, sn = fn >> 1, sn >> 1
    return sn == 0 and first == old_root and second == new_root
