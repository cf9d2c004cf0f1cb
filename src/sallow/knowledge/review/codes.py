"""Every code a knowledge file can be told of: how grave it is, what it means, and how to mend it.

Codes are stable: a code keeps its meaning between versions, and a code that is gone is not used again.
"""

from __future__ import annotations

from dataclasses import dataclass

FAULT = "fault"
ADVICE = "advice"


@dataclass(frozen=True, slots=True)
class Code:
    """``grade`` is 'fault' (the file cannot be used, or would mislead) or 'advice' (worth a second look)."""

    id: str
    grade: str
    means: str
    mend: str


def _codes(*rows: tuple[str, str, str, str]) -> dict[str, Code]:
    return {identifier: Code(identifier, grade, means, mend) for identifier, grade, means, mend in rows}


READING = _codes(
    ("not-yaml", FAULT, "The file cannot be read as YAML; the place is where the reader stopped understanding.",
     "Look at that line and the one before: a bracket or quote left open, a tab, or a colon in text without quotes."),
    ("empty-file", FAULT, "The file holds nothing.", "Write at least one entry, or remove the file."),
    ("unreadable", FAULT, "The file cannot be opened, or it is not UTF-8 text.",
     "Give yourself the right to read it, and save it as UTF-8."),
    ("too-large", FAULT, "The file is larger than any knowledge file needs to be.",
     "Split it: one cause to a file, signs and cases by subject."),
    ("too-deep", FAULT, "Lists and maps stand inside one another deeper, or in greater number, than knowledge needs.",
     "Write plain entries as in the shipped files."),
    ("alias", FAULT, "Anchors and aliases (& and *) are refused, since a small file with them can grow without bound.",
     "Write the value out in each place."),
    ("tag", FAULT, "A tag (an exclamation mark before a value) asks for something other than plain values.",
     "Leave the tag out; put text that begins with an exclamation mark in quotes."),
    ("key", FAULT, "A key is a list or a map.", "Use one plain word before the colon."),
    ("duplicate-key", FAULT, "The same key stands twice in one map; one of the two would be lost.",
     "Keep one of them, or make a list of both."),
    ("control-character", FAULT, "The text holds a character that steers a terminal or turns the writing direction.",
     "Remove it; type the text anew if it was copied from a page."),
)  # fmt: skip
SHAPE = _codes(
    ("unknown-key", FAULT, "This key is not one that can stand here.", "Take the nearest right word, or leave it out."),
    ("missing-key", FAULT, "Something that this kind of entry cannot do without is missing.", "Add the key."),
    ("illegal-value", FAULT, "The value is none of those allowed here.", "Take one of the words listed."),
    ("wrong-type", FAULT, "A list, map, text or number stands where another of these is expected.",
     "Write it in the form expected; a list has square brackets or dashes."),
    ("schema", FAULT, "The value is too long, too short or too large, or an id is not small letters and underscores.",
     "Keep to the limit named."),
    ("duplicate-id", FAULT, "Two entries of one folder have the same id; one of them would be lost.",
     "Rename one, or remove the one that is not meant. To replace a shipped entry, put yours in a folder of its own."),
    ("base-rates", FAULT, "The base rates of a question must add up to 1, for one of its answers is always the case.",
     "Mend them: how often would each answer be given for some quite unknown trouble, out of one in all."),
    ("event-window", FAULT, "The span of time is not one of the windows of this event.",
     "Use a window listed for the event, such as '3 weeks'."),
    ("band-edge", FAULT, "A number is compared with a value that is not an edge between two bands of its sign.",
     "Use one of the edges listed."),
    ("unit", FAULT, "A number is given in another unit than its sign is measured in.", "Convert it."),
    ("condition", FAULT, "A condition is not built as conditions are.",
     "Write {sign: answer}, or not, any, all, some_symptom, event as the README shows."),
    ("missing-source", FAULT, "A claim or a number has no source.",
     "Name a source, or common_practice, judgement or from_memory where there is none."),
    ("unknown-sign", FAULT, "A condition or a look names a sign or finding that does not exist.",
     "Take the nearest right word, or add the sign."),
    ("unknown-event", FAULT, "There is no such event.", "Take one from the list, or add it to events.yaml."),
    ("unknown-cause", FAULT, "There is no such cause.", "Take the nearest right word, or write the cause."),
    ("unknown-case", FAULT, "There is no such case to switch off.", "Take the nearest right word."),
    ("unknown-check", FAULT, "There is no such confirming test.", "Take the nearest right word, or add the test."),
    ("unknown-source", FAULT, "The source is not listed.", "Add it to a file in sources/, or mend its name."),
    ("unknown-caution", FAULT, "There is no such caution.", "Take one from cautions.yaml."),
    ("unknown-crop", FAULT, "There is no such crop or crop group.", "Take one from crops.yaml, a group, or any."),
    ("unknown-crop-group", FAULT, "There is no such crop group.", "Take one of the groups in crops.yaml."),
    ("unknown-colour", FAULT, "There is no such colour for pictures.", "Take one from pictures.yaml, or add it."),
    ("unknown-outline", FAULT, "There is no such leaf outline.", "Take one from pictures.yaml, or add it."),
    ("unknown-finding", FAULT, "There is no such finding or cause.", "Take the nearest right word."),
    ("unknown-answer", FAULT, "The sign has no such answer.", "Take one of its answers."),
    ("date", FAULT, "A date is not a day of the calendar, or not a likely one.", "Write year-month-day: 2026-05-20."),
    ("wrong-part", FAULT, "A sign of one part of the tree stands in a symptom of another.",
     "Move it to a symptom of its own part."),
    ("misplaced-sign", FAULT, "A sign of a symptom stands among the tree's answers, or the other way round.",
     "Move it to its own place."),
)  # fmt: skip
RULES = _codes(
    ("redundant-rule", FAULT, "Two rules say the same of the same condition; the second adds nothing.",
     "Remove one of them."),
    ("conflicting-rules", FAULT, "Two rules draw opposite conclusions from the same condition.",
     "Decide which holds, or narrow one of the conditions."),
    ("subsumed-rule", ADVICE, "A rule can never count, since a rule with a wider condition says as much or more.",
     "Remove it, give it more weight than the wider one, or set it under another 'about'."),
    ("needless-condition", ADVICE, "A part of a condition makes no difference: it allows every answer, or two rules "
     "together allow every answer of it.", "Leave the part out, or make one rule of the two."),
    ("circular-findings", FAULT, "A finding rests on itself through other findings.",
     "Take one of them out of the circle."),
    ("dead-end-condition", FAULT, "A condition can never be true: it asks two different answers of one sign, a crop "
     "that the cause does not live on, or a finding that nothing concludes.", "Mend the condition or remove the rule."),
    ("unreachable-finding", FAULT, "No rule can ever tell this finding true.", "Add a rule, or remove the finding."),
    ("unreachable-cause", FAULT, "Nothing speaks for this cause, so that no look can lead to it.",
     "Add evidence that speaks for it."),
    ("unreferenced-answer", ADVICE, "Nothing tells this answer from another of its sign, so giving it tells little.",
     "Use it as evidence somewhere, or make one answer of the two."),
    ("unused", ADVICE, "Nothing uses this entry, neither the knowledge nor the program.", "Use it, or remove it."),
    ("question-never-helps", ADVICE, "No evidence, finding, red flag or check reads this sign; it is never asked.",
     "Use it as evidence, or remove the sign."),
)  # fmt: skip
EVIDENCE = _codes(
    ("nothing-against", FAULT, "A cause that nothing can speak against cannot be ruled out by any answer.",
     "Add what this cause practically never shows (speaks: against)."),
    ("mixed-scope", FAULT, "One condition mixes signs of an odd part with signs, findings or events of the whole tree.",
     "Write two pieces of evidence; they add up."),
    ("context-only", FAULT, "The condition speaks of crop, climate, season or place alone.",
     "Put how common the cause is there into how_common."),
    ("weak-mark-strong-weight", FAULT, "A claim from memory or of our own judgement carries more than moderate weight.",
     "Find a source, or lower the weight."),
    ("weight-not-reached", ADVICE, "Together these pieces of evidence come out weaker than stated, since a question's "
     "answers cannot be that much more likely than they already are (see 'hallmark' in the README).",
     "State a lower weight, or name answers that are rarer to begin with."),
    ("weight-turned-round", FAULT, "The evidence is so common to begin with that it comes out speaking against.",
     "Name fewer answers; an answer that a third of all looks give can hardly speak for anything."),
    ("look-alikes-not-separated", FAULT, "No question tells these two look-alikes apart.",
     "Add evidence that differs between the two, for or against."),
    ("no-confirming-test", ADVICE, "None of the cause's checks gives an answer that its evidence reads, or settles or "
     "refutes it.", "Add such a check, or evidence on what the check shows."),
    ("typical-not-first", FAULT, "The cause's own typical look is not led by it.",
     "See 'sallow knowledge show' for its evidence; add what tells it apart, or mend the look."),
    ("near-miss-not-first", FAULT, "The near miss is not led by the cause it names.",
     "Mend the look, or the evidence of the two causes."),
)  # fmt: skip
WORDING = _codes(
    ("markup", FAULT, "The text holds markup (stars, backticks, tags in brackets); it is shown as it stands.",
     "Write plain sentences."),
    ("certainty", FAULT, "The wording promises more than anyone can know from looking.",
     "Hedge: likely, as a rule, may, often."),
    ("not-hedged", ADVICE, "A step for a cause that is only likely does not say that it may help, nor for which tree, "
     "weather or season it is.", "Begin with the condition (If ..., In dry weather ...), or say may, often."),
    ("confirmed-without-condition", FAULT, "A step for a confirmed cause does not begin with its condition.",
     "Begin with what the test showed: If the ..."),
    ("unknown-amount", FAULT, "A step names a calculation that does not exist.", "Take one of the names listed."),
    ("dose-without-caution", FAULT, "A step names a dose without a caution.",
     "Use 'amount:' with a named calculation, or add the cautions that belong to it."),
    ("spray-without-label", FAULT, "A step speaks of spraying or of a pesticide without the caution label_first.",
     "Add caution: [label_first] and what else applies (bees, oil_heat, gloves_eyes)."),
    ("regulated-without-report", FAULT, "A regulated disease has no step that says to report it.",
     "Add a step with caution: [report, quarantine]."),
    ("regulated-without-flag", FAULT, "A regulated disease has no red flag.", "Add red_flag with its tier."),
    ("missing-unit", FAULT, "A number that is asked for has no unit.", "Add unit:."),
    ("one-unit-only", ADVICE, "A length or temperature is given in one system of units.",
     "Give the other beside it: 30 cm (12 in), 5 °C (41 °F)."),
    ("duplicate-text", ADVICE, "The same sentence stands twice in one entry, or two entries of a kind have the same "
     "name, summary or question.", "Say in each place what is particular to it, or keep one."),
    ("too-early", ADVICE, "A step to be done now costs money, or takes a salt, an acid, a spray or a saw.",
     "Move it to likely or confirmed; 'now' is for what is cheap and safe before anything is known."),
)  # fmt: skip
CODES: dict[str, Code] = READING | SHAPE | RULES | EVIDENCE | WORDING


def grade_of(code: str) -> str:
    """'fault' or 'advice'."""
    return CODES[code].grade if code in CODES else FAULT
