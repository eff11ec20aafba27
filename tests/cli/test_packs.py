"""Evidence packs checked with no registry: what holds, what was altered anywhere, what is no pack, what is not shown."""

import base64
import hashlib
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from registry.acts.checkpoints import Keyring, Verifier
from registry.acts.pack_checks import Unreadable, check
from registry.domain.packs import FILE
from registry.output.attached import attach, attached
from tests.web.doors import Doors


@pytest.fixture(scope="module")
def pdf(untouched: Doors) -> bytes:
    return untouched.visitor("piet").get("/missions/M-1/pack.pdf").response.get_data()


@pytest.fixture(scope="module")
def document(pdf: bytes) -> bytes:
    return attached(pdf, FILE)


@pytest.fixture(scope="module")
def key(untouched: Doors) -> str:
    return untouched.cli("checkpoint", "--public-key").stdout.strip()


@pytest.fixture(scope="module")
def keys(key: str) -> Keyring:
    return Keyring(Verifier.read(key))


Asked = Callable[..., Result]


@pytest.fixture
def asked(untouched: Doors, tmp_path: Path) -> Asked:
    """`verify-pack` on a machine that has no registry."""

    def ask(raw: bytes, *words: str) -> Result:
        file = tmp_path / "given"
        file.write_bytes(raw)
        return untouched.cli("verify-pack", str(file), *words, PAIRBOOK_HOME=str(tmp_path / "none"))

    return ask


def told(document: bytes) -> dict[str, Any]:
    return json.loads(document)


def told_again(told: dict[str, Any]) -> bytes:
    return json.dumps(told, ensure_ascii=False).encode()


def test_a_pack_is_whole_and_says_what_rests_on_which_entry(pdf: bytes, document: bytes, key: str, asked: Asked):
    for raw in (pdf, document):
        result = asked(raw, "--key", key)
        assert (result.exit_code, result.stderr) == (0, "")
        lines = result.stdout.splitlines()
        assert lines[0].startswith("Mission M-1, Teasel: ")
        place = lines.index("  Bay A, p1: put in")
        assert "install a pair, 10 May 2026, 09:00 UTC" in lines[place + 1]
        assert "amend when it happened, 11 May 2026, 09:00 UTC" in lines[place + 2]
        assert "The checkpoint is signed by the key you gave." in lines
        assert lines[-1].startswith("What is proved is the entries, byte by byte, not the printed words")


def test_without_a_key_it_says_what_is_not_shown(pdf: bytes, asked: Asked):
    result = asked(pdf)
    assert result.exit_code == 0
    assert "nothing shows whose checkpoint that is" in result.stdout
    assert "signed by the key" not in result.stdout
    plain = json.loads(asked(pdf, "--json").stdout)
    assert (plain["holds"], plain["signed"]) == (True, False) and plain["not_shown"]


def test_a_key_may_stand_in_a_file_and_must_be_that_of_the_log(pdf: bytes, key: str, asked: Asked, tmp_path: Path):
    file = tmp_path / "log.pub"
    file.write_text(key + "\n", "utf-8")
    assert asked(pdf, "--key", str(file)).exit_code == 0
    name, _hash, _key = key.split("+", 2)
    other = "pairbook.example/K+0d9ac5d6+AX9wH3h0kJ2m"
    assert asked(pdf, "--key", other).exit_code == 1
    assert asked(pdf, "--key", str(tmp_path / "nothing")).exit_code == 1
    file.write_text("\n", "utf-8")
    assert asked(pdf, "--key", str(file)).exit_code == 1
    stranger = _stranger(name)
    result = asked(pdf, "--key", stranger)
    assert (result.exit_code, "bears no signature" in result.stderr) == (1, True)
    elsewhere = asked(pdf, "--key", _stranger("else.example/E"))
    assert (elsewhere.exit_code, "the key is that of else.example/E" in elsewhere.stderr) == (1, True)


def _stranger(name: str) -> str:
    return Verifier(name, Ed25519PrivateKey.from_private_bytes(b"7" * 32).public_key()).encoded()


def test_a_checkpoint_of_another_size_is_compared_by_a_proof_that_the_log_grew(
    untouched: Doors, pdf: bytes, document: bytes, asked: Asked, key: str, tmp_path: Path
):
    """Of a pack drawn later than the checkpoint was kept; a proof of other sizes, or for another root, shows nothing."""
    size = untouched.size()
    kept, proof = tmp_path / "kept", tmp_path / "proof"
    kept.write_text(untouched.cli("checkpoint", "--size", "40").stdout, "utf-8")
    told = ("--checkpoint", str(kept), "--key", key, "--proof", str(proof))
    proof.write_text(untouched.cli("checkpoint", "--since", "40").stdout, "utf-8")
    result = asked(pdf, *told)
    assert (result.exit_code, "the log only grew from the one to the other" in result.stdout) == (0, True)
    proof.write_text(untouched.cli("checkpoint", "--since", "41").stdout, "utf-8")
    other = asked(pdf, *told)
    assert (other.exit_code, f"the proof is of 41 and {size:,}" in other.stderr) == (1, True)
    steps = untouched.cli("checkpoint", "--since", "40").stdout.replace("old 40", "old 41")
    kept.write_text(untouched.cli("checkpoint", "--size", "41").stdout, "utf-8")
    proof.write_text(steps, "utf-8")
    forged = asked(pdf, *told)
    assert (forged.exit_code, "the log was rewritten" in forged.stderr) == (1, True)
    proof.write_text("nothing", "utf-8")
    assert "That is not a proof of growth" in asked(pdf, *told).stderr
    assert "give that with --checkpoint" in asked(pdf, "--proof", str(proof)).stderr
    assert "entries; a checkpoint of" in untouched.cli("checkpoint", "--size", str(size + 1)).stderr


def test_a_checkpoint_that_was_kept_is_compared(
    untouched: Doors, pdf: bytes, document: bytes, key: str, asked: Asked, tmp_path: Path
):
    kept = tmp_path / "kept"
    kept.write_text(told(document)["checkpoint"], "utf-8")
    assert "It is the checkpoint you kept." in asked(pdf, "--checkpoint", str(kept), "--key", key).stdout
    origin, size, _root = told(document)["checkpoint"].split("\n")[:3]
    other = base64.b64encode(b"r" * 32).decode()
    for text, code, words in (
        (f"{origin}\n{size}\n{other}\n", 1, "has another root"),
        (f"{origin}\n{int(size) - 1}\n{other}\n", 0, f"pairbook checkpoint --since {int(size) - 1} --size {size}"),
        (f"else.example/E\n{size}\n{other}\n", 1, "is of the log else.example/E"),
        ("nothing", 1, "That is not a checkpoint"),
    ):
        kept.write_text(f"{text}\n— {origin} AAAA\n", "utf-8")
        result = asked(pdf, "--checkpoint", str(kept))
        assert (result.exit_code, words in result.output) == (code, True), words
    assert asked(pdf, "--checkpoint", str(kept), "--key", key).exit_code == 1


def altered(text: str, place: int) -> str:
    """The text with one character another, of the same alphabet."""
    return text[:place] + ("B" if text[place] != "B" else "C") + text[place + 1 :]


def test_a_byte_altered_anywhere_in_an_entry_is_found(document: bytes, keys: Keyring):
    one = told(document)
    entry = one["entries"][2]
    whole = base64.b64decode(entry["entry"])
    for place in range(len(whole)):
        raw = bytearray(whole)
        raw[place] ^= 1
        entry["entry"] = base64.b64encode(raw).decode()
        assert f"Entry {entry['seq']:,}: its bytes do not make its leaf hash: one of them was changed." in check(told_again(one), keys).faults  # fmt: skip
        if place % 50 == 0:  # the hash made to fit: then the proof does not
            forged = one | {"entries": [e if e is not entry else entry | {"leaf": hashlib.sha256(b"\0" + raw).hexdigest()} for e in one["entries"]]}  # fmt: skip
            faults = check(told_again(forged), keys).faults
            assert any("its proof does not lead to the root" in fault for fault in faults)


@pytest.mark.parametrize("name", ["entry", "leaf"])
def test_no_character_of_an_entry_or_its_hash_can_be_another(name: str, document: bytes, keys: Keyring):
    one = told(document)
    entry = one["entries"][0]
    text = entry[name]
    for place in range(len(text)):
        entry[name] = altered(text, place)
        assert check(told_again(one), keys).faults


def test_no_character_of_a_proof_can_be_another(document: bytes):
    """Without a key, too: nothing of a proof is signed."""
    one = told(document)
    entry = one["entries"][1]
    steps = list(entry["proof"])
    for number, step in enumerate(steps):
        for place in range(len(step)):
            entry["proof"] = [*steps[:number], altered(step, place), *steps[number + 1 :]]
            assert check(told_again(one)).faults
    for proof in (steps[:-1], [*steps, steps[-1]], [], steps[::-1]):
        entry["proof"] = proof
        assert check(told_again(one)).faults
    entry["proof"], entry["seq"] = steps, entry["seq"] + 1
    assert check(told_again(one)).faults


def test_no_character_of_the_checkpoint_or_its_signature_can_be_another(document: bytes, keys: Keyring):
    one = told(document)
    note = one["checkpoint"]
    for place in range(len(note)):
        one["checkpoint"] = altered(note, place)
        try:
            faults = check(told_again(one), keys).faults
        except Unreadable:
            continue
        assert faults, note[place - 5 : place + 5]


def test_the_root_cannot_be_another_without_a_key_either(document: bytes):
    one = told(document)
    start = one["checkpoint"].split("\n")
    for place in range(len(start[2])):
        one["checkpoint"] = "\n".join([*start[:2], altered(start[2], place), *start[3:]])
        try:
            assert check(told_again(one)).faults
        except Unreadable:
            continue


def test_entries_and_statements_belong_together(document: bytes, keys: Keyring):
    one = told(document)
    first = one["entries"][0]["seq"]
    short = one | {"entries": one["entries"][1:]}
    assert f"Entry {first:,} is missing: a statement rests on it." in check(told_again(short), keys).faults
    twice = one | {"entries": [*one["entries"], one["entries"][0]]}
    assert f"Entry {first:,} stands in it twice." in check(told_again(twice), keys).faults
    loose = one | {"statements": [{"told": "All is well", "entries": []}]}
    faults = check(told_again(loose), keys).faults
    assert f"Entry {first:,} belongs to no statement." in faults
    assert "Nothing is proved of “All is well”: it names no entry." in faults


@pytest.mark.parametrize(
    "spoil",
    [
        lambda raw: raw[: len(raw) // 2],
        lambda raw: b"{}",
        lambda raw: b"[" * 100_000,
        lambda raw: b'{"a": ' * 100_000,
        lambda raw: raw.replace(b'"version":1', b'"version":2'),
        lambda raw: raw.replace(b'"about"', b'"above"'),
        lambda raw: raw.replace(b'"seq":', b'"seq":"x","seq":', 1),
        lambda raw: raw.replace(b'"proof":[', b'"proof":[1,', 1),
        lambda raw: raw.replace(b'"seq":', b'"seq":1.5,"sea":', 1),
        lambda raw: raw.replace(b'"told":', b'"tale":', 1),
        lambda raw: raw.replace("\\n— ".encode(), b" "),
        lambda raw: b"\xff\xfe" + raw,
    ],
)  # fmt: skip
def test_what_is_no_document_of_a_pack_is_told_in_a_sentence(
    spoil: Callable[[bytes], bytes], document: bytes, asked: Asked
):
    result = asked(spoil(document))
    assert result.exit_code == 1
    assert "Traceback" not in result.output and len(result.stderr) > 40


def test_a_pdf_cut_short_bare_or_with_two_files_is_told_in_a_sentence(
    pdf: bytes, document: bytes, untouched: Doors, asked: Asked
):
    for length in range(0, len(pdf) - 200, len(pdf) // 12):
        cut = asked(pdf[:length])
        assert (cut.exit_code, "cannot be checked" in cut.stderr) == (1, True), length
    bare = untouched.visitor("piet").get("/pairs/p1/sheet.pdf").response.get_data()
    assert "No file called evidence.json" in asked(bare).stderr
    assert "More than one file" in asked(attach(pdf, FILE, document, "again")).stderr
    assert asked(b"words").exit_code == 1


def test_a_mission_that_has_not_sailed_has_no_pack(untouched: Doors, tmp_path: Path):
    page = untouched.visitor("piet").get("/missions/M-3")
    assert "Print the evidence pack" not in page.links()
    result = untouched.cli("print", "mission", "M-3", "--pdf", str(tmp_path / "x.pdf"))
    assert (result.exit_code, "had not started then" in result.stderr) == (1, True)
