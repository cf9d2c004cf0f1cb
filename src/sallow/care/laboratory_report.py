"""Works one laboratory report through: checks that the figures can be true, then reads them."""

from __future__ import annotations

from sallow.care.laboratory import check_plausible, check_total
from sallow.care.laboratory_case import LabCase, LabReport, Tables
from sallow.care.laboratory_leaf import leaf_report
from sallow.care.laboratory_soil import soil_report
from sallow.care.laboratory_water import water_report
from sallow.errors import BadInput


def work_through(case: LabCase, tables: Tables) -> LabReport:
    """Check every figure, then read it. BadInput explains an impossible figure; nothing is half read."""
    if not case.measurements:
        raise BadInput("the report has no figures to read; give at least one, for example N=2.1% or pH=7.8.")
    seen: set[tuple[str, str]] = set()
    for entry in case.measurements:
        if (entry.test, entry.method) in seen:
            raise BadInput(f"{entry.test.replace('_', ' ')} is there twice ({entry.written}); keep one of them.")
        seen.add((entry.test, entry.method))
        check_plausible(entry, tables["plausible_values"], case.sample)
    check_total(case.measurements, case.sample)
    if case.sample == "leaf":
        return leaf_report(case, tables)
    return soil_report(case, tables) if case.sample == "soil" else water_report(case, tables)
