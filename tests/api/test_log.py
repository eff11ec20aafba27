"""The log over JSON, taken at nothing but its word: hashes, tree, signature and proofs are worked out again here."""

import base64
import json

import pytest
import rfc8785

from tests.api.merkle import leaf_hash, open_note, root_of, root_of_proof
from tests.web.doors import Doors


def fetched(doors: Doors) -> list[bytes]:
    """The bytes of every entry, as a program on another machine gets them."""
    raw = doors.api("anselm").get("/log").data
    text = raw.decode()
    start = text.index('"entries":[') + len('"entries":[')
    decoder, entries = json.JSONDecoder(), []
    while text[start] != "]":
        _value, end = decoder.raw_decode(text, start)
        entries.append(text[start:end].encode())
        start = end + (text[end] == ",")
    return entries


def b64(text: str) -> bytes:
    return base64.b64decode(text, validate=True)


def test_entries_as_fetched_make_the_root_that_was_signed(untouched: Doors):
    leaves = [leaf_hash(entry) for entry in fetched(untouched)]
    told = untouched.api("anselm").get("/log/checkpoint").json
    assert told["size"] == len(leaves) == untouched.size()
    assert b64(told["root"]) == root_of(leaves)
    assert open_note(told["note"], told["public_key"]) == (told["origin"], len(leaves), root_of(leaves))
    assert told["origin"] == "pairbook.example/K"


def test_a_signature_fits_only_the_text_it_was_made_for(untouched: Doors):
    told = untouched.api("anselm").get("/log/checkpoint").json
    from cryptography.exceptions import InvalidSignature

    with pytest.raises(InvalidSignature):
        open_note(told["note"].replace(f"\n{told['size']}\n", f"\n{told['size'] - 1}\n"), told["public_key"])


@pytest.mark.parametrize("seq", [1, 2, 3, 4, 33, 64, 65, 76, "the last"])
def test_the_proof_of_an_entry_leads_to_the_root(seq: int | str, untouched: Doors):
    seq = untouched.size() if seq == "the last" else seq
    api = untouched.api("anselm")
    told = api.get("/log/proof", seq=seq).json
    leaf = leaf_hash(api.get(f"/log/{seq}").data)
    assert b64(told["leaf"]) == leaf
    steps = [b64(step) for step in told["proof"]]
    assert (
        root_of_proof(seq - 1, told["size"], leaf, steps)
        == b64(told["root"])
        == b64(api.get("/log/checkpoint").json["root"])
    )
    wrong = leaf_hash(api.get(f"/log/{seq % told['size'] + 1}").data)
    assert root_of_proof(seq - 1, told["size"], wrong, steps) != b64(told["root"])


def test_every_entry_is_in_canonical_form(untouched: Doors):
    for raw in fetched(untouched):
        assert rfc8785.dumps(json.loads(raw)) == raw


def test_the_log_is_read_in_pieces(untouched: Doors):
    api = untouched.api("anselm")
    size = untouched.size()
    rest = api.get("/log", after=70).json
    size = untouched.size()
    assert (rest["size"], [entry["seq"] for entry in rest["entries"]]) == (size, list(range(71, size + 1)))
    assert api.get("/log", after=size).json["entries"] == []
    assert api.get("/log", after=10**14).json["entries"] == []


def test_the_log_only_grew(lived: Doors):
    """A checkpoint kept from before is the beginning of the log as it is after."""
    before = lived.api("anselm").get("/log/checkpoint").json
    lived.world.do("note_fault", "18 09:00", half="p1 s", words="hums")
    leaves = [leaf_hash(entry) for entry in fetched(lived)]
    assert root_of(leaves[: before["size"]]) == b64(before["root"])
    assert lived.api("anselm").get("/log/checkpoint").json["root"] != before["root"]


def test_names_of_people_are_not_in_the_log(untouched: Doors):
    told = b"".join(fetched(untouched))
    for name in (b"Maren", b"Ida", b"Yusuf", b"Jon"):
        assert name not in told


@pytest.mark.parametrize("seq", ["0", "one past the last", "-1", "x", "", "9" * 15, "9" * 16, "²", "1.0"])
def test_a_proof_of_what_is_not_there_is_refused(seq: str, untouched: Doors):
    seq = str(untouched.size() + 1) if seq == "one past the last" else seq
    assert untouched.api("anselm").get("/log/proof", seq=seq).status_code in (404, 422)


@pytest.mark.parametrize("path", ["/log/0", "/log/{past}", "/log/99999999999999999999", "/log/x"])
def test_an_entry_that_is_not_there_is_not_found(path: str, untouched: Doors):
    path = path.format(past=untouched.size() + 1)
    assert untouched.api("anselm").get(path).status_code == 404
