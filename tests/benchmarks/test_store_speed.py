"""The record at a tenth of its full size; ratios, since machines differ."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmarks import store_speed


@pytest.mark.slow
def test_the_record_keeps_up(tmp_path: Path) -> None:
    assert store_speed.append_speed(tmp_path, rounds=60).ratio < 2.5
    store_speed.make_large(tmp_path / "large.balmbook", 200, 300)
    store_speed.make_large(tmp_path / "few.balmbook", 200, 3)
    listed, one = store_speed.large_speed(tmp_path / "large.balmbook", 200, 300)
    assert listed.ours_s < 0.5
    assert one.ours_s < 0.2
    large, few = (store_speed.growth_mb(tmp_path / name) for name in ("large.balmbook", "few.balmbook"))
    if large is not None and few is not None:
        assert large - few < 5.0  # MB: the events that stay unread cost nothing
