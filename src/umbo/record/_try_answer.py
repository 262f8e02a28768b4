"""Answer of ``umbo try``: what a change of the output would do."""

from __future__ import annotations

from typing import Literal

import numpy as np
from pydantic import Field

from umbo.core import FloatArray
from umbo.record._base import Part
from umbo.record._case_answers import CAUTIONS
from umbo.record._curves import CurveRecord
from umbo.record._fit import GuidanceRecord, PredictedRecord
from umbo.record._from_curve import curve_record
from umbo.record._from_judging import guidance_record, predicted_record
from umbo.session import SessionResult, Tried

__all__ = ["TryAnswer", "try_answer"]


class TryAnswer(Part):
    """Answer of ``umbo try``: predicted, not measured."""

    schema_: Literal[1] = Field(1, alias="schema")
    case: str
    ear: Literal["right", "left"]
    input_db_spl: float = Field(description="Which speech run was changed.")
    guidance: GuidanceRecord
    measured_deviation: CurveRecord = Field(description="From target, before the change.")
    predicted: PredictedRecord
    margin_before_db: list[float | None] = Field(
        description="Room between the maximum output and its limit at the frequencies of the prediction; null where it "
        "is not known."
    )
    margin_after_db: list[float | None] = Field(
        description="The same after the change, if the output rises with the gain."
    )
    cautions: list[str]


def try_answer(result: SessionResult, tried: Tried) -> TryAnswer:
    """Answer of ``umbo try``."""
    return TryAnswer.model_validate(
        {
            "schema": 1,
            "case": result.plan.case_id,
            "ear": tried.ear.value,
            "input_db_spl": tried.input_db_spl,
            "guidance": guidance_record(tried.guidance),
            "measured_deviation": curve_record(tried.deviation),
            "predicted": predicted_record(tried.predicted, tried.guidance),
            "margin_before_db": _known(tried.margin_db),
            "margin_after_db": _known(tried.margin_after_db),
            "cautions": list(CAUTIONS),
        }
    )


def _known(values_db: FloatArray) -> list[float | None]:
    return [None if np.isnan(value) else round(float(value), 4) for value in values_db]
