"""Signed checkpoints of the log: C2SP tlog-checkpoint in a signed note, Ed25519 (RFC 8032).

A checkpoint says how many entries the log had and what root they make. Whoever keeps one can show later that the log
only grew: no entry before it was changed, taken out or put in.
"""

import base64
import hashlib
import re
from typing import NamedTuple

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

_ED25519 = b"\x01"
_NAME = re.compile(r"[^\s+]+")

#: Proofs are as long as the tree is high; no log is higher than this.
MOST_STEPS = 64


class Checkpoint(NamedTuple):
    """The first three lines of a checkpoint; `origin` names the log."""

    origin: str
    size: int
    root: bytes

    def text(self) -> str:
        return f"{self.origin}\n{self.size}\n{base64.b64encode(self.root).decode()}\n"


class LogKey:
    """The key a log's checkpoints are signed with. `name` is the origin line of its checkpoints."""

    def __init__(self, name: str, private: Ed25519PrivateKey):
        if not _NAME.fullmatch(name):
            raise ValueError(f"{name!r} cannot name a log: no blanks and no plus sign.")
        self.name = name
        self._private = private

    def verifier(self) -> "Verifier":
        return Verifier(self.name, self._private.public_key())

    def sign(self, size: int, root: bytes) -> str:
        """The signed note for this size and root."""
        text = Checkpoint(self.name, size, root).text()
        verifier = self.verifier()
        signature = base64.b64encode(verifier.key_hash() + self._private.sign(text.encode())).decode()
        return f"{text}\n— {self.name} {signature}\n"


class Verifier:
    """The public half of a log key."""

    def __init__(self, name: str, public: Ed25519PublicKey):
        self.name = name
        self._public = public

    @classmethod
    def read(cls, vkey: str) -> "Verifier":
        """From the encoded form `name+hash+key` (C2SP signed-note). Raises ValueError when it is not one."""
        try:
            name, key_hash, encoded = vkey.strip().split("+", 2)
            raw = base64.b64decode(encoded, validate=True)
            public = Ed25519PublicKey.from_public_bytes(raw[1:])
        except ValueError:
            raise ValueError("That is not the public key of a log (name+hash+key).") from None
        found = cls(name, public)
        if raw[:1] != _ED25519 or found.key_hash().hex() != key_hash:
            raise ValueError("The hash in that public key does not fit the key: it was copied wrong.")
        return found

    def encoded(self) -> str:
        return f"{self.name}+{self.key_hash().hex()}+{base64.b64encode(_ED25519 + self._public.public_bytes_raw()).decode()}"

    def key_hash(self) -> bytes:
        """The first four bytes of SHA-256 over name, newline, algorithm and key."""
        return hashlib.sha256(self.name.encode() + b"\n" + _ED25519 + self._public.public_bytes_raw()).digest()[:4]

    def open(self, note: str) -> str:
        """The text of a note that this key signed. Raises ValueError with a sentence when it did not."""
        text, _, signatures = note.rpartition("\n\n")
        text += "\n"
        for line in signatures.splitlines():
            parts = line.split(" ")
            if len(parts) != 3 or parts[0] != "—" or parts[1] != self.name:
                continue
            try:
                raw = base64.b64decode(parts[2], validate=True)
            except ValueError:
                continue
            if raw[:4] != self.key_hash():
                continue
            try:
                self._public.verify(raw[4:], text.encode())
            except InvalidSignature:
                raise ValueError(
                    f"The signature of {self.name} does not fit the text: one of them was changed."
                ) from None
            return text
        raise ValueError(f"The note bears no signature of {self.name}.")


class Keyring:
    """The public keys a log was signed with over the years; a note needs the signature of one of them."""

    def __init__(self, *verifiers: Verifier):
        self.verifiers = verifiers

    def open(self, note: str) -> str:
        """As `Verifier.open`. A note none of them signed raises what the newest key says of it."""
        for verifier in self.verifiers[1:]:
            try:
                return verifier.open(note)
            except ValueError:
                continue
        return self.verifiers[0].open(note)


class Growth(NamedTuple):
    """A consistency proof (RFC 9162 section 2.1.4): that the log of `old` entries is the beginning of the log of `new`."""

    old: int
    new: int
    steps: tuple[bytes, ...]

    def text(self, note: str) -> str:
        """As C2SP tlog-witness writes it: the old size, the steps, a blank line, the signed checkpoint of the new size."""
        lines = [f"old {self.old}", *(base64.b64encode(step).decode() for step in self.steps)]
        return "\n".join(lines) + f"\n\n{note}"


def read_growth(text: str) -> Growth:
    """Read what `Growth.text` writes. Raises ValueError with a sentence for anything else."""
    head, found, note = text.partition("\n\n")
    first, *steps = head.split("\n")
    if not found or not re.fullmatch(r"old [1-9]\d{0,18}", first, re.ASCII) or len(steps) > MOST_STEPS:
        raise ValueError(
            "That is not a proof of growth: its first line says `old` and a size, a checkpoint follows it."
        )
    try:
        proof = tuple(base64.b64decode(step, validate=True) for step in steps)
    except ValueError:
        raise ValueError("That is not a proof of growth: one of its steps is not a hash.") from None
    return Growth(int(first[4:]), read_checkpoint(note.rpartition("\n\n")[0] + "\n").size, proof)


def read_checkpoint(text: str) -> Checkpoint:
    """Read the text of a checkpoint (C2SP tlog-checkpoint). Raises ValueError with a sentence for anything else."""
    lines = text.split("\n")
    if len(lines) < 4 or lines[-1] or not lines[0] or any(not line for line in lines[:-1]):
        raise ValueError("That is not a checkpoint: three lines are expected (log, size, root).")
    if not re.fullmatch(r"0|[1-9]\d{0,18}", lines[1], re.ASCII):
        raise ValueError("That is not a checkpoint: its second line is not a size.")
    try:
        root = base64.b64decode(lines[2], validate=True)
    except ValueError:
        raise ValueError("That is not a checkpoint: its third line is not a root.") from None
    if len(root) != 32:
        raise ValueError("That is not a checkpoint: its root is not 32 bytes long.")
    return Checkpoint(lines[0], int(lines[1]), root)
