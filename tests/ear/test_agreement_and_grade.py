"""Two insertions, and the letter an RECD gets with its reasons."""

import numpy as np
import pytest
from model_readings import GRID, HZ, level

from umbo.core import Coupling, Ear, Finding, Plane, PointState, Severity, Source, Tags, Transfer
from umbo.curves import TrustLimit, TrustReport
from umbo.ear import Agreement, agreement, grade, headroom

PROBE = Plane.probe_tip()


def bump(hz, size_db):
    """A difference of a given size around one frequency."""
    return np.where(np.abs(np.log2(HZ / hz)) < 0.06, size_db, 0.0)


@pytest.mark.parametrize(
    ("hz", "limit_db"), [(250, 3), (500, 2), (1000, 2), (2000, 2), (3000, 2), (4000, 3), (8000, 5)]
)
def test_agreement_limits(hz, limit_db):
    first = level(np.zeros(HZ.size), PROBE)
    inside = agreement(first, level(bump(hz, limit_db - 0.01), PROBE))
    outside = agreement(first, level(bump(hz, limit_db + 0.01), PROBE))
    assert inside is not None
    assert inside.agrees
    assert outside is not None
    assert not outside.agrees
    assert outside.worst_hz == hz
    assert outside.worst_db == pytest.approx(limit_db + 0.01)


def test_points_that_cannot_be_used_do_not_agree():
    """Two readings with too little in common are one reading, not two agreeing ones."""
    first = level(np.zeros(HZ.size), PROBE)
    deaf = first.marked(PointState.BELOW_NOISE, HZ > 700, "noise")
    assert agreement(first, deaf) is None
    assert agreement(first, first.marked(PointState.BELOW_NOISE, HZ > 5000, "noise")).agrees


def recd(states=None):
    curve = Transfer.given(
        GRID,
        np.zeros(HZ.size),
        start=Plane.coupler("ha1"),
        end=Plane.eardrum(),
        tags=Tags(
            quantity="RECD",
            ear=Ear.RIGHT,
            stimulus=None,
            statistic=None,
            coupling=Coupling.FOAM_TIP,
            source=Source.INSERT,
        ),
        source="model",
    )
    return curve if states is None else curve.marked(*states)


def trust(max_hz):
    return TrustReport((TrustLimit("probe", max_hz, "the tip is far", "Advance it.", "x"),))


def finding(severity, text="Odd."):
    return Finding("odd", severity, text, "Look.", "x")


AGREE, DIFFER = Agreement(True, 0.7, 2000.0), Agreement(False, 2.4, 1000.0)


@pytest.mark.parametrize(
    ("letter", "given"),
    [
        ("A", (recd(), trust(8000), [], AGREE)),
        ("A", (recd(), trust(8000), [finding(Severity.INFO)], AGREE)),
        ("B", (recd(), trust(8000), [], None)),
        ("B", (recd((PointState.NOISY, HZ > 6000, "noise")), trust(8000), [], AGREE)),
        ("A", (recd((PointState.NOISY, HZ > 8500, "noise")), trust(8000), [], AGREE)),
        ("C", (recd(), trust(8000), [finding(Severity.WARN)], AGREE)),
        ("C", (recd(), trust(8000), [], DIFFER)),
        ("C", (recd(), trust(3900), [], AGREE)),
        ("D", (recd(), trust(900), [], AGREE)),
        ("D", (recd(), trust(8000), [finding(Severity.STOP), finding(Severity.WARN)], AGREE)),
    ],
)
def test_letters(letter, given):
    assert grade(*given).letter == letter


def test_every_letter_has_its_reason():
    assert grade(recd(), trust(8000), [], AGREE).reasons[0] == (
        "Two insertions agree (largest difference 0.7 dB at 2000 Hz)."
    )
    assert grade(recd(), trust(8000), [], DIFFER).reasons == ("Two insertions differ by 2.4 dB at 1000 Hz.",)
    assert "would make it an A" in grade(recd(), trust(8000), [], None).reasons[0]
    assert grade(recd(), trust(3900), [], None).reasons == (
        "The curve can be trusted only to 3900 Hz: the tip is far.",
    )
    stop = finding(Severity.STOP, "Blocked.")
    assert grade(recd(), trust(8000), [stop], None).reasons == ("Blocked.",)


def test_headroom_is_where_the_recd_meets_the_coupler_curve():
    coupler_db = np.where(HZ < 6000, 40.0, -1.0)
    limit = headroom(recd(), coupler_db)
    assert limit is not None
    assert limit.rule == "headroom"
    assert limit.max_hz == HZ[HZ < 6000][-1]
    assert limit.source == "common practice, no source"
    assert headroom(recd(), np.full(HZ.size, 40.0)) is None
