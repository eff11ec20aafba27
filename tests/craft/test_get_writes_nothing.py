"""Looking changes nothing: every address is asked in every way that only looks, and the files stay as they are."""

import hashlib

from tests.web.addresses import addresses
from tests.web.doors import Doors
from tests.web.test_pages import STATES, spelt


def files(doors: Doors) -> dict[str, str]:
    """Name -> hash of everything that holds the record: the database and its write-ahead log."""
    home = doors.instance.home
    return {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(home.glob("registry.sqlite3*"))
        if not path.name.endswith("-shm") and path.stat().st_size  # an empty write-ahead log is none
    }


def test_no_way_of_looking_writes_anything(lived: Doors):
    visitors = [lived.visitor(who) for who in ("maren", "ida")]
    stranger, api = lived.stranger(), lived.api("ida")
    for visitor in visitors:  # who is asking was written down when they signed in
        visitor.get("/")
    before = files(lived), lived.counts(), lived.record()
    walked = addresses(lived, "GET")
    for one in walked:
        for visitor in (*visitors, stranger):
            visitor.client.open(one.path, method="GET").close()
        # The other two ways run the same view or none: once for somebody known and once for a stranger is all of them.
        for visitor in (visitors[1], stranger):
            for method in ("HEAD", "OPTIONS"):
                visitor.client.open(one.path, method=method).close()
        if one.is_api:
            api.client.get(one.path, headers=api.headers)
    for path in STATES.values():
        visitors[1].get(spelt(lived, path))
    assert (files(lived), lived.counts(), lived.record()) == before
    assert len(walked) > 45


def test_asking_for_a_go_no_go_or_a_verdict_writes_nothing_either(lived: Doors):
    ida = lived.api("ida")
    sent = lived.world.sent("install_pair", "18 09:00", bay="burdock A", sensor="p5 s", electronics="p5 e")
    before = files(lived), lived.record()
    assert ida.check(sent).json["go"] is True
    assert ida.post("/match", {"labels": [lived.code("p5 s"), "QQ-1"]}).status_code == 200
    for words in (
        ("fleet",),
        ("where", "p1"),
        ("history", "p1"),
        ("scan", "p1"),
        ("sort", "p1"),
        ("verify", "--strict"),
        ("checkpoint",),
    ):
        lived.cli(*words)
    after = files(lived), lived.record()
    assert after[1] == before[1]


def test_a_write_is_seen_by_this_watch(lived: Doors):
    before = files(lived)
    lived.world.do("note_fault", "18 09:00", half="p1 s", words="hums")
    assert files(lived) != before


def test_asking_for_the_head_of_the_sign_in_page_is_no_attempt_to_sign_in(lived: Doors):
    before = files(lived)
    answer = lived.stranger().client.head("/sign-in")
    assert (answer.status_code, files(lived)) == (200, before)
