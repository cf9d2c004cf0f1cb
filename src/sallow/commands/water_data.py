"""The water reckoning as data: JSON, and what it answers in a look with where each answer comes from."""

from __future__ import annotations

import json
import math
from dataclasses import asdict
from typing import Any

from sallow.commands.water_words import WaterReport, cautions, percent
from sallow.commands.water_working import working

# With fewer emitters than this measured, nothing clogged does not mean that all run alike.
FEWEST_TELLING = 4
# Emitters less uniform than this are not "all about alike" (judgement).
ALIKE_PERCENT = 75.0


def report_json(report: WaterReport) -> str:
    """The report as JSON; ``answers`` are signs for the look, ``finding`` the verdict with its reckoning."""
    data: dict[str, Any] = {"command": "water", "answers": {}}
    plan = report.plan
    if plan is not None:
        data["plan"] = asdict(plan)
        data["plan"].pop("between")
        data["not_known"] = list(report.unknown)
        data["working"] = working(report.tree, report.plan, report.reference_how)
        balance = None if plan.verdict is None else plan.verdict.balance
        data["finding"] = {
            "water_balance": balance,
            "reckoning": working(report.tree, report.plan, report.reference_how),
        }
    if report.test is not None:
        data["emitter_test"] = asdict(report.test)
    data["answers"], data["origins"] = _signs(report)
    if report.weather_data is not None:
        data["weather"] = report.weather_data
        data["events"] = report.weather_data["events"]
        data["origins"] |= {
            f"event.{event['what']}": f"{event['origin']}: {event['because']}" for event in data["events"]
        }
    if report.wet is not None:
        data["wait"] = {"soil_wet_on": report.wet.day.isoformat(), "told_by": report.wet.told_by}
    data["cautions"] = cautions(report)
    return json.dumps(_finite(data), indent=2, ensure_ascii=False)


def _signs(report: WaterReport) -> tuple[dict[str, Any], dict[str, str]]:
    """What the reckoning answers in a look, and where each answer comes from."""
    weather = {} if report.weather_data is None else report.weather_data["signs"]
    answers = {name: sign["value"] for name, sign in weather.items()}
    origins = {name: f"{sign['origin']}: {sign['because']}" for name, sign in weather.items()}
    found = None if report.plan is None else report.plan.verdict
    # Sums that call for water on wet soil say nothing that a look should count.
    if found is not None and not (report.wet is not None and found.balance == "too_little"):
        answers["water_balance"] = found.balance
        share = found.ratio
        told = f": {percent(share)} of the need" if math.isfinite(share) else ""
        origins["water_balance"] = f"from the water reckoning{told}"
    test = report.test
    alike = test is not None and len(test.flows_l_per_h) >= FEWEST_TELLING and test.uniformity_percent >= ALIKE_PERCENT
    if test is not None and (test.clogged or alike):
        answers["emitters"] = "clogged" if test.clogged else "even"
        origins["emitters"] = f"from the emitter test: uniformity {test.uniformity_percent:.0f} %"
    return answers, origins


def _finite(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _finite(part) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(part) for part in value]
    return None if value in (float("inf"), float("-inf")) else value
