"""What the three numbers on a bag stand for, and the arithmetic that follows from them."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sallow.care import units
from sallow.errors import BadInput

_NUMBER = r"(\d+(?:[.,]\d+)?)"
_GRADE = re.compile(rf"^\s*{_NUMBER}\s*[-–—:/ ]\s*{_NUMBER}\s*[-–—:/ ]\s*{_NUMBER}\s*$")


@dataclass(frozen=True, slots=True)
class Grade:
    """Percent by weight of nitrogen (N), phosphate (P2O5) and potash (K2O), in the order of the label."""

    n: float
    p2o5: float
    k2o: float

    def __post_init__(self) -> None:
        for name, value in (("nitrogen", self.n), ("phosphate", self.p2o5), ("potash", self.k2o)):
            if not 0 <= value <= 100:
                raise BadInput(
                    f"a bag cannot be {value:g} % {name}; look for the three numbers on the label again."
                )
        if self.n + self.p2o5 + self.k2o > 100:
            raise BadInput(
                f"{self} adds up to {self.n + self.p2o5 + self.k2o:g} %, and a bag holds 100 % at most; "
                "look for the three numbers on the label again."
            )
        if self.n + self.p2o5 + self.k2o == 0:
            raise BadInput("a bag of 0-0-0 feeds nothing; look for the three numbers on the label again.")

    def __str__(self) -> str:
        return f"{self.n:g}-{self.p2o5:g}-{self.k2o:g}"

    @property
    def p(self) -> float:
        """Percent of the element phosphorus."""
        return units.p2o5_to_p(self.p2o5)

    @property
    def k(self) -> float:
        """Percent of the element potassium."""
        return units.k2o_to_k(self.k2o)


@dataclass(frozen=True, slots=True)
class Content:
    """What a weight of product holds; every figure in the unit of that weight."""

    n: float
    p2o5: float
    k2o: float
    rest: float


def parse_grade(text: str) -> Grade:
    """Three numbers such as ``6-2-3`` as a Grade; BadInput with the expected form otherwise."""
    match = _GRADE.match(text)
    if match is None:
        raise BadInput(
            f"'{text}' is not the three numbers of a bag; type them as on the label, for example 6-2-3."
        )
    n, p2o5, k2o = (float(part.replace(",", ".")) for part in match.groups())
    return Grade(n, p2o5, k2o)


def content_of(weight: float, grade: Grade) -> Content:
    """What ``weight`` of product holds: weight times percent over 100 (NMSU H-119, UMaine 2287)."""
    n, p2o5, k2o = (weight * percent / 100 for percent in (grade.n, grade.p2o5, grade.k2o))
    return Content(n, p2o5, k2o, weight - n - p2o5 - k2o)


def product_for(wanted: float, percent: float) -> float:
    """The weight of product that holds ``wanted`` of a nutrient (Colorado GardenNotes 233).

    In the unit of ``wanted``; BadInput when the product holds none of it.
    """
    if wanted < 0:
        raise BadInput(f"a wanted amount of {wanted:g} is below zero; give one above zero.")
    if percent <= 0:
        raise BadInput("this bag holds no nitrogen (its first number is 0), so no weight of it gives any.")
    return wanted / (percent / 100)


def swapped_grade(weight: float, old_percent: float, new_percent: float) -> float:
    """The weight of a new product that gives what ``weight`` of the old one gave (UMaine 2287)."""
    return product_for(weight * old_percent / 100, new_percent)


def small_area_rate(lb_per_acre: float, square_feet: float) -> float:
    """Pounds for a small area from pounds per acre (NMSU H-119)."""
    if square_feet <= 0:
        raise BadInput(f"an area of {square_feet:g} square feet is not possible; give a size above zero.")
    return lb_per_acre / units.SQUARE_FEET_PER_ACRE * square_feet


def product_for_area(lb_n_per_100_sq_ft: float, percent: float) -> float:
    """Pounds of product per 100 square feet for a nitrogen rate (Colorado GardenNotes 233, table 1)."""
    return product_for(lb_n_per_100_sq_ft, percent)
