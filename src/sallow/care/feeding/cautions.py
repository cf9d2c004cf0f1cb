"""The cautions that belong to a feeding, picked by what is used and where."""

from __future__ import annotations

from sallow.care.feeding.plan import Plan

WEATHER = (
    "Not before heavy rain, and not on frozen, waterlogged or dry ground: what the roots do not catch runs "
    "into the groundwater. Keep well away from wells, drains, ditches and ponds."
)
BURN = "More than this burns roots. On dry roots even this much does: water the day before."
LABEL = (
    "The label of the bag and local rules (some places limit phosphorus or nitrogen, or forbid seasons) "
    "come first."
)
LATE = "Nitrogen after the last safe day makes soft growth that frost kills."
MICRO = (
    "If the bag or anything else you use names boron or copper, do not give it twice: boron is good and "
    "harmful within a narrow margin, and copper stays in the soil for good."
)
# 90 and 120 days: USDA Agricultural Marketing Service, Soil Building: Manures and Composts (7 CFR 205.203).
MANURE = (
    "Fresh manure carries germs: keep it off the fruit, wash hands, and leave months between spreading it "
    "and picking (the rule for organic growers in the United States: 90 days, and 120 where fruit touches the "
    "ground; local food-safety rules come first)."
)
BIOSOLIDS = (
    "Sewage sludge (biosolids) and composts made of it may hold metals and drugs: never under fruit unless the "
    "label and local rules allow it."
)
PETS = (
    "Bone, blood, fish and castor meals tempt pets; castor meal is poisonous. Scratch it in and keep "
    "animals off."
)
LEAD = "Near old painted walls or busy roads the soil may hold lead: work it damp and wash hands and fruit."
BACKFLOW = (
    "Nothing may be injected into a drip line without a backflow preventer between it and the house or "
    "well. Flush the line with plain water after. When cleaning emitters never bring bleach and acid "
    "together: it gives off a deadly gas."
)
FOLIAR = (
    "Leaf sprays and chelates only at the rate of their label, on one branch first, never in sun or heat. "
    "The label is the law."
)
ACID = "This material turns the soil acid over the years; not for ground that is acid already."

_MEALS = ("blood_meal", "bone_meal", "fish_meal", "feather_meal", "hoof_and_horn")
_ACIDIFIERS = ("ammonium_sulfate", "sulfur_coated_urea", "urea", "ammonium_nitrate", "cottonseed_meal")


def cautions_for(plan: Plan, injected: bool = False, foliar: bool = False) -> tuple[str, ...]:
    """The cautions for this plan, the general ones first; none when nothing is to be given."""
    if not plan.decision.feeds and plan.decision.verdict != "measure":
        return ()
    chosen = None if plan.net_kg == 0 else plan.wish.bag
    lines = [WEATHER, LABEL] if plan.net_kg == 0 else [BURN, WEATHER, LABEL]
    if plan.tree.expects_frost:
        lines.append(LATE)
    if chosen is not None and chosen.material in _ACIDIFIERS:
        lines.append(ACID)
    if chosen is not None and chosen.material is None:
        lines.append(MICRO)
    if _names(plan, "manure"):
        lines.append(MANURE)
    if _names(plan, "manure") or _names(plan, "compost") or _is_blend(plan):
        lines.append(BIOSOLIDS)
    if chosen is not None and (chosen.material in _MEALS or chosen.release == "organic_blend"):
        lines.append(PETS)
    if plan.tree.grown_in != "pot":
        lines.append(LEAD)
    if injected:
        lines.append(BACKFLOW)
    if foliar:
        lines.append(FOLIAR)
    return tuple(lines)


def _names(plan: Plan, word: str) -> bool:
    chosen = plan.wish.bag
    if chosen is not None and word in chosen.name:
        return True
    return any(word in credit.name for credit in plan.wish.credits)


def _is_blend(plan: Plan) -> bool:
    return plan.wish.bag is not None and plan.wish.bag.release == "organic_blend"
