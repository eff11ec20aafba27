"""Long work runs in a process of its own, once, within bounds; meanwhile pages are answered, and nothing is entered twice."""

import io
import json
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from registry import apart, entering, under_way
from registry.acts.long_work import LongWork
from registry.acts.preparing import worked_out_here
from registry.errors import Refused
from registry.inertial import CannotCompute, bench_recording
from tests.samples import REST_GIVEN, RESTING
from tests.web.doors import PIN, Doors, Page, Visitor

WORK = LongWork("record_static_test", ("a",), {})
TEST = {"pair": "p5", "procedure": "WP-12", "issue": "3", "lat_deg": "59.3"}


@pytest.fixture(autouse=True)
def nothing_kept(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(apart, "_JOBS", type(apart._JOBS)())
    monkeypatch.setattr(under_way, "_SENT", type(under_way._SENT)())


@pytest.fixture
def resting(tmp_path: Path) -> Path:
    path = tmp_path / "rest"
    path.write_bytes(RESTING)
    return path


def test_the_process_apart_gives_what_this_one_gives(resting: Path):
    job = apart.started(WORK, lambda sha256: resting)
    told: list[str] = []
    outcome = apart.waited_for(job, lambda share, words: told.append(words))
    assert outcome == json.loads(json.dumps(worked_out_here(WORK, lambda sha256: resting)))
    assert told[0] in ("waiting for its turn", "begun")
    assert job.words == "Allan deviation of gyro z"  # the last it said


def test_means_are_those_of_the_columns(resting: Path):
    """Against numpy's own reader of the same file."""
    columns = np.loadtxt(io.BytesIO(RESTING), delimiter=",", skiprows=2)
    shares: list[float | None] = []
    told = bench_recording.read_bench(resting, lambda share, words: shares.append(share))
    assert told["summary"]["mean_rate_deg_h"] == pytest.approx(columns[:, 1:4].mean(axis=0))
    assert told["summary"]["mean_force_m_s2"] == pytest.approx(columns[:, 4:7].mean(axis=0))
    assert len(told["trace"]["rate_deg_h"]) == bench_recording.TRACE_POINTS
    assert told["trace"]["every_s"] == pytest.approx(720 / bench_recording.TRACE_POINTS)
    assert shares == sorted(shares) and 0.5 < shares[0] < 1


def test_an_archive_is_read_like_a_table(resting: Path, tmp_path: Path):
    columns = np.loadtxt(io.BytesIO(RESTING), delimiter=",", skiprows=2)
    path = tmp_path / "rest.npz"
    np.savez(path, rate_hz=1.0, gyro_deg_h=columns[:, 1:4], acc_m_s2=columns[:, 4:7])
    assert bench_recording.read_bench(path)["summary"] == bench_recording.read_bench(resting)["summary"]


def test_more_than_a_page_takes_is_refused_by_its_length(resting: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(bench_recording, "MOST_ROWS", 100)
    with pytest.raises(CannotCompute, match="longer than 100 rows"):
        bench_recording.read_bench(resting)


def test_it_is_worked_out_once(resting: Path):
    job = apart.started(WORK, lambda sha256: resting)
    assert job.wait(60)
    assert apart.started(WORK, lambda sha256: pytest.fail("again")) is job
    assert apart.started(WORK._replace(figures={"lat": "1"}), lambda sha256: resting) is not job


def test_what_takes_too_long_is_stopped_told_and_tried_anew_when_sent_again(
    resting: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(apart, "_LIMIT_S", 0.01)
    job = apart.started(WORK, lambda sha256: resting)
    assert "more time or memory" in apart.waited_for(job, None)["cannot"][0]
    assert apart.started(WORK, lambda sha256: resting) is not job


def test_the_process_says_what_is_wrong_as_plain_data(tmp_path: Path):
    path = tmp_path / "broken"
    path.write_bytes(b"PK\x03\x04 nothing of an archive")
    sentence, then = apart.waited_for(apart.started(WORK, lambda sha256: path), None)["cannot"]
    assert sentence.startswith("The archive cannot be read")
    assert then == "Save it again."


class Gate:
    """Holds long work back at 40 % until it is opened with an outcome."""

    def __init__(self):
        self.begun, self.opened, self.outcome = threading.Event(), threading.Event(), {"cannot": ["", ""]}

    def open(self, outcome: dict[str, Any]) -> None:
        self.outcome = outcome
        self.opened.set()
        for job in list(apart._JOBS.values()):
            gone_on = threading.Event()
            job.then(gone_on.set)  # after everything that waited for it before
            assert gone_on.wait(60)


@pytest.fixture
def gate(monkeypatch: pytest.MonkeyPatch) -> Iterator[Gate]:
    held = Gate()

    class Held(apart.Job):
        def _run_apart(self) -> dict[str, Any]:
            self.share, self.words = 0.4, "half way"
            held.begun.set()
            assert held.opened.wait(60)
            return held.outcome

    monkeypatch.setattr(apart, "Job", Held)
    monkeypatch.setattr(entering, "PATIENCE_S", 0.01)
    yield held
    held.open(held.outcome)


def sent(visitor: Visitor, page: Page | None = None, **more: str) -> Page:
    """The form of a static test, filled in and sent with its recording."""
    page = page or visitor.get("/act/record_static_test")
    filled: dict[str, Any] = dict(page.form("/act/record_static_test").filled(**TEST | more, pin=PIN))
    return visitor.post("/act/record_static_test", filled | {"files": (io.BytesIO(RESTING), "rest.csv")})


def sent_off(doors: Doors, gate: Gate):
    """A static test is signed and sent; its long work is held back. The visitor, and where it is looked at."""
    vera = doors.visitor("vera")
    done = sent(vera)
    assert done.status == 303
    assert gate.begun.wait(60)
    return vera, done.response.headers["Location"]


def test_other_pages_are_answered_while_long_work_runs_and_its_own_page_says_how_far_it_is(lived: Doors, gate: Gate):
    """One client, one thread: each answer comes while the work is held back."""
    vera, where = sent_off(lived, gate)
    assert vera.get("/fleet").status == 200
    shown = vera.get(where)
    assert (shown.status, shown.heading) == (200, "Being worked out")
    assert "40 %, half way" in shown.words
    assert shown.root.one("progress").attrs["value"] == "40"
    assert shown.response.headers["Refresh"] == "2"  # without script
    assert lived.visitor("oda").get(where).status == 404  # hers alone


def test_once_done_it_is_in_the_log_and_the_page_leads_on_however_often_it_is_opened(lived: Doors, gate: Gate):
    vera, where = sent_off(lived, gate)
    before = lived.size()
    gate.open(worked_out_here(LongWork("record_static_test", (REST_GIVEN["sha256"],), {}), lived.world.files.path))
    for _ in range(2):
        shown = vera.follow(vera.get(where))
        assert shown.path.startswith("/verifications/")
    assert lived.size() == before + 1


def test_what_is_refused_after_long_work_comes_back_with_everything_typed(lived: Doors, gate: Gate):
    vera, where = sent_off(lived, gate)
    gate.open({"cannot": ["The clock steps back.", "Cut it there."]})
    shown = vera.get(where)
    assert (shown.status, shown.told()) == (422, ["The clock steps back. Cut it there."])
    form = shown.form("/act/record_static_test")
    filled = dict(form.filled())
    assert (filled["procedure"], filled["lat_deg"]) == ("WP-12", "59.3")
    assert filled["files-kept"].startswith(REST_GIVEN["sha256"])
    assert filled.get("pin", "") == "" and PIN not in shown.text


def test_a_second_tap_is_the_same_act_and_other_fields_are_refused(lived: Doors, gate: Gate):
    vera = lived.visitor("vera")
    page = vera.get("/act/record_static_test")
    first, again, other = sent(vera, page), sent(vera, page), sent(vera, page, lat_deg="58")
    assert first.response.headers["Location"] == again.response.headers["Location"]
    assert other.status == 409
    assert len(under_way._SENT) == 1


def test_an_act_nobody_knows_is_not_under_way(untouched: Doors):
    shown = untouched.visitor("vera").get(f"/act/record_static_test/{untouched.world.ids['static test']}")
    assert shown.status == 404
    assert "Look in the log" in shown.words


def test_json_is_told_how_far_it_is_and_sends_the_same_again(lived: Doors, gate: Gate):
    told = lived.world.sent("record_static_test", "20 09:00", files=[REST_GIVEN], **TEST)
    vera = lived.api("vera")
    first = vera.act(told)
    assert (first.status_code, first.headers["Retry-After"]) == (202, "2")
    assert first.json["working"]["told"] in ("waiting for its turn", "begun", "half way")
    assert vera.check(told).status_code == 202
    gate.open(worked_out_here(LongWork("record_static_test", (REST_GIVEN["sha256"],), {}), lived.world.files.path))
    assert vera.act(told).status_code == 201
    assert vera.act(told).json["again"] is True


def test_more_than_a_few_that_wait_are_told_to_come_back(resting: Path, gate: Gate, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(apart, "_MOST_WAITING", 1)
    apart.started(WORK, lambda sha256: resting)
    with pytest.raises(Refused) as refused:
        apart.started(WORK._replace(files=("b",)), lambda sha256: resting)
    assert refused.value.reasons[0].code == "busy"
