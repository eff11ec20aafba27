"""Recordings are worked out in a process of their own, once, within bounds."""

import io
import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from registry import bench
from registry.errors import Refused
from tests.samples import RESTING


@pytest.fixture(autouse=True)
def nothing_kept(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(bench, "_LATELY", type(bench._LATELY)())


@pytest.fixture
def resting(tmp_path: Path) -> Path:
    path = tmp_path / "rest"
    path.write_bytes(RESTING)
    return path


def test_the_process_apart_gives_what_this_one_gives(resting: Path):
    assert bench.worked_out(resting, "a") == json.loads(json.dumps(bench.read_bench(resting)))


def test_means_are_those_of_the_columns(resting: Path):
    """Against numpy's own reader of the same file."""
    columns = np.loadtxt(io.BytesIO(RESTING), delimiter=",", skiprows=2)
    told = bench.read_bench(resting)
    assert told["summary"]["mean_rate_deg_h"] == pytest.approx(columns[:, 1:4].mean(axis=0))
    assert told["summary"]["mean_force_m_s2"] == pytest.approx(columns[:, 4:7].mean(axis=0))
    assert len(told["trace"]["rate_deg_h"]) == bench.TRACE_POINTS
    assert told["trace"]["every_s"] == pytest.approx(720 / bench.TRACE_POINTS)


def test_an_archive_is_read_like_a_table(resting: Path, tmp_path: Path):
    columns = np.loadtxt(io.BytesIO(RESTING), delimiter=",", skiprows=2)
    path = tmp_path / "rest.npz"
    np.savez(path, rate_hz=1.0, gyro_deg_h=columns[:, 1:4], acc_m_s2=columns[:, 4:7])
    assert bench.read_bench(path)["summary"] == bench.read_bench(resting)["summary"]


def test_it_is_worked_out_once(resting: Path, monkeypatch: pytest.MonkeyPatch):
    first = bench.worked_out(resting, "a", apart=False)
    monkeypatch.setattr(bench, "read_bench", lambda path: pytest.fail("again"))
    assert bench.worked_out(resting, "a", apart=False) is first


def test_a_file_that_is_not_there_gives_nothing(tmp_path: Path):
    assert bench.worked_out(tmp_path / "none", "a") is None


def test_what_takes_too_long_is_stopped_and_told(resting: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(bench, "_LIMIT_S", 0.01)
    with pytest.raises(Refused) as refused:
        bench.worked_out(resting, "a")
    assert refused.value.reasons[0].code == "cannot_compute"
    assert "more time or memory" in refused.value.reasons[0].message


def test_one_at_a_time_the_others_are_told_to_wait(resting: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(bench, "_PATIENCE_S", 0.01)
    assert bench._AT_ONCE.acquire()
    try:
        with pytest.raises(Refused) as refused:
            bench.worked_out(resting, "a")
    finally:
        bench._AT_ONCE.release()
    assert refused.value.reasons[0].code == "busy"


def test_more_than_a_page_takes_is_refused_by_its_length(resting: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(bench, "MOST_ROWS", 100)
    with pytest.raises(Refused) as refused:
        bench.worked_out(resting, "a", apart=False)
    assert "longer than 100 rows" in refused.value.reasons[0].message


def test_the_process_says_what_is_wrong_as_plain_data(tmp_path: Path):
    path = tmp_path / "broken"
    path.write_bytes(b"PK\x03\x04 nothing of an archive")
    ended = subprocess.run([sys.executable, "-m", "registry.bench", str(path)], capture_output=True, check=True)
    sentence, then = json.loads(ended.stdout)["cannot"]
    assert sentence.startswith("The archive cannot be read")
    assert then == "Save it again."
