"""Feeding a tree: whether, how much nitrogen, when, how much of this bag, where; one door to the parts."""

from sallow.care.feeding.bags import Bag, Helping, bag_from, compared, helping_of
from sallow.care.feeding.credits import Credit, material_credit, nitrate_nitrogen, water_credit
from sallow.care.feeding.dates import Season, plan_season
from sallow.care.feeding.decision import TROUBLES, Condition, Decision, decide
from sallow.care.feeding.label import Grade, content_of, parse_grade, product_for
from sallow.care.feeding.plan import Plan, Wish, make_plan
from sallow.care.feeding.ring import Ring, litres_to_wet, spreading_ring
from sallow.care.feeding.tree import Tree
from sallow.care.feeding.year import YearNitrogen, YearRule, check_nitrogen_claim, nitrogen_for_year

__all__ = [
    "TROUBLES",
    "Bag",
    "Condition",
    "Credit",
    "Decision",
    "Grade",
    "Helping",
    "Plan",
    "Ring",
    "Season",
    "Tree",
    "Wish",
    "YearNitrogen",
    "YearRule",
    "bag_from",
    "check_nitrogen_claim",
    "compared",
    "content_of",
    "decide",
    "helping_of",
    "litres_to_wet",
    "make_plan",
    "material_credit",
    "nitrate_nitrogen",
    "nitrogen_for_year",
    "parse_grade",
    "plan_season",
    "product_for",
    "spreading_ring",
    "water_credit",
]
