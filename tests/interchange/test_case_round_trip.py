"""Any plan that can be written comes back as it was written."""

from __future__ import annotations

import json
import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from umbo.core import Ear
from umbo.interchange import open_case
from umbo.session import Client

_PRINTABLE = st.characters(blacklist_categories=("C", "Z"))
_NAMES = st.text(_PRINTABLE, min_size=1, max_size=20)
_THRESHOLDS = st.lists(
    st.tuples(st.floats(20, 20_000), st.floats(-20, 140) | st.integers(-20, 140), st.booleans()),
    min_size=1,
    max_size=12,
    unique_by=lambda point: point[0],
).map(sorted)


@settings(max_examples=60, deadline=None)
@given(
    case_id=_NAMES,
    code=_NAMES,
    mic=_NAMES,
    age=st.floats(0, 1500) | st.integers(0, 1500),
    factor=st.floats(1e-6, 1e6),
    points=_THRESHOLDS,
    transducer=st.sampled_from(["supra_aural", "circumaural", "sound_field"]),
)
def test_any_plan_comes_back_as_it_was_written(case_id, code, mic, age, factor, points, transducer):
    quoted = {name: json.dumps(name, ensure_ascii=False) for name in (case_id, code, mic)}
    frequency_hz, level_db, no_response = zip(*points, strict=True)
    text = f"""
schema = 1
id = {quoted[case_id]}
client = {{ code = {quoted[code]}, age_months = {age!r} }}
[calibration.{quoted[mic]}]
pa_per_full_scale = {factor!r}
u_db = 0.25
date = 2026-01-31
[ear.left]
middle_ear = "tube"
[ear.left.thresholds]
scale = "eHL"
transducer = "{transducer}"
frequency_hz = {list(frequency_hz)!r}
level_db = {list(level_db)!r}
no_response = {json.dumps(no_response)}
[stimulus.s]
kind = "noise"
[[curve]]
name = "c"
file = "c.csv"
ear = "left"
place = "free_field"
coupling = "dome"
source = "aid"
stimulus = "s"
"""
    with tempfile.TemporaryDirectory() as name:
        Path(name, "case.toml").write_text(text, encoding="utf-8")
        Path(name, "c.csv").write_text("frequency_hz,level_db\n100,1\n200,2\n")
        plan = open_case(name).plan
    assert (plan.case_id, plan.client) == (case_id, Client(code=code, age_months=float(age)))
    assert plan.calibrations[mic].pa_per_full_scale == factor
    thresholds = plan.ears[Ear.LEFT].thresholds
    assert thresholds.transducer == transducer
    assert thresholds.frequency_hz == tuple(frequency_hz)
    assert thresholds.level_db == tuple(level_db)
    assert thresholds.no_response == tuple(no_response)
