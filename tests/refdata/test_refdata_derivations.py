"""Derived tables are worked out again and compared, and against plain arithmetic."""

import math

import numpy as np
import pytest

from umbo import refdata


@pytest.mark.parametrize("name", list(refdata.DERIVATIONS))
def test_a_derived_table_is_what_its_derivation_gives(name):
    quantity, source = name.split("/")
    stored = refdata.table(quantity, source=source)
    worked_out = refdata.rederive(name)
    numbers = [info.name for info in stored.sidecar.columns if info.kind == "number"]
    assert list(worked_out) == numbers
    for column, values in worked_out.items():
        present = stored.present(column)
        assert [value is not None for value in values] == present.tolist()
        kept = [value for value in values if value is not None]
        assert np.asarray(stored.column(column))[present] == pytest.approx(kept, abs=1e-9)
        info = stored.info(column)
        assert info.status in ("computed", "nominal")


def test_redd_says_its_assumption_and_how_far_the_two_routes_differ():
    redd = refdata.table("redd_average", source="derived-bentler-pavlovic-1989")
    assert any(note.startswith("Assumption: 0 dB HL means") for note in redd.sidecar.notes)
    # By hand from the two tables: 28 - 23.8 at 125 Hz; 15 - 10.6 at 4 kHz; 15.5 - 16.1 at 8 kHz.
    for frequency_hz, expected in ((125, 4.2), (4000, 4.4), (8000, -0.6)):
        assert redd.at(frequency_hz, "insert_route_minus_map_db") == pytest.approx(expected)


def test_ear_simulator_against_a_plain_nodal_solution():
    lumped = refdata.table("oes_lumped_parameters", source="simulator-library-2024")
    part = {name: lumped.at(name, "value") for name in lumped.text("element")}
    frequency_hz = np.array([100.0, 500.0, 1300.0, 4000.0, 10000.0])
    for damped in (False, True):
        r3, r5 = (part["R3"], part["R5"]) if damped else (0.0, 0.0)
        expected = []
        for f in frequency_hz:
            w = 2j * math.pi * f
            y2 = 1 / (part["R2"] + w * part["L2"] + 1 / (w * part["C2"]))
            y4 = 1 / (part["R4"] + w * part["L4"] + 1 / (w * part["C4"]))
            y12 = 1 / (r3 + w * part["L3"])
            y23 = 1 / (r5 + w * part["L5"])
            nodes = np.array(
                [
                    [w * part["C1"] + y2 + y12, -y12, 0],
                    [-y12, w * part["C3"] + y4 + y12 + y23, -y23],
                    [0, -y23, w * part["C5"] + y23],
                ]
            )
            expected.append(abs(np.linalg.solve(nodes, [1, 0, 0])[2]))
        found = refdata.ear_simulator_transfer_impedance(frequency_hz, damped=damped)
        assert found == pytest.approx(expected, rel=1e-9)


def test_ear_simulator_is_the_sum_of_its_compliances_at_low_frequency():
    lumped = refdata.table("oes_lumped_parameters", source="simulator-library-2024")
    total = sum(lumped.at(name, "value") for name in ("C1", "C2", "C3", "C4", "C5"))
    found = refdata.ear_simulator_transfer_impedance(np.array([1.0]), damped=True)
    assert found[0] == pytest.approx(1 / (2 * math.pi * total), rel=1e-4)


def test_kringlebotn_si_values():
    model = refdata.table("eardrum_model", source="kringlebotn-1988")
    # 1 dyn = 1e-5 N, 1 cm = 1e-2 m, 1 g = 1e-3 kg.
    factor = {"g/cm4": 1e-3 / 1e-8, "cm5/dyn": 1e-10 / 1e-5, "dyn s/cm5": 1e-5 / 1e-10}
    unit = {"g/cm4": "kg/m4", "cm5/dyn": "m5/N", "dyn s/cm5": "N s/m5"}
    for name in model.text("element"):
        printed = model.text_at(name, "unit")
        assert model.at(name, "si_value") == pytest.approx(model.at(name, "value") * factor[printed], rel=1e-9)
        assert model.text_at(name, "si_unit") == unit[printed]


@pytest.mark.parametrize("source", ["hudde-engel-1998", "sankowsky-rothe-2022"])
def test_printed_expressions_of_the_eardrum_models(source):
    model = refdata.table("eardrum_model", source=source)
    expressions = {
        "1.4 pi": 1.4 * math.pi,
        "-1.2 pi": -1.2 * math.pi,
        "sqrt(60e-6/pi)": math.sqrt(60e-6 / math.pi),
        "4 rho h/(3 pi a^2)": 4 * 1100 * 0.112e-3 / (3 * 60e-6),
    }
    for name in model.text("parameter"):
        printed = model.text_at(name, "printed").removesuffix(" (2022 form)")
        if printed == "from tension and thickness":
            assert not model.present("value")[model.text("parameter").index(name)]
            continue
        expected = expressions[printed] if printed in expressions else float(printed)
        assert model.at(name, "value") == pytest.approx(expected, rel=1e-9)


def test_simple_rule_slopes_are_the_written_fractions():
    for source in ("berger-undated", "libby-undated", "mccandless-lyregaard-1983"):
        rule = refdata.table("simple_rules", source=source)
        for written, slope in zip(rule.text("printed_slope"), rule.column("slope_on_hl"), strict=True):
            top, _, bottom = written.partition("/")
            assert slope == pytest.approx(float(top) / float(bottom or 1), abs=1e-6)
