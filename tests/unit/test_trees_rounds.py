"""The walk round: what is due where and when, and the calendar file checked against a library for RFC 5545."""

from datetime import date, timedelta

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from sallow.care.season import shift_month
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.tables import build_table
from sallow.trees import ics
from sallow.trees.crops import crop_list
from sallow.trees.model import CLIMATES, GROWN, Event, Look, PendingCheck, Tree
from sallow.trees.need import by_need
from sallow.trees.rounds import EVENTS_COUNT_DAYS, Due, Ledger, due, tasks_of

KNOWLEDGE = shipped_folder("knowledge")
TABLE = build_table(yaml.safe_load((KNOWLEDGE / "tables" / "round_tasks.yaml").read_text(encoding="utf-8")))
TASKS = tasks_of(({**row.cells, "mark": row.mark} for row in TABLE.rows), shift_month)
CROPS = crop_list(yaml.safe_load((KNOWLEDGE / "crops.yaml").read_text(encoding="utf-8")))


def tree(crop: str = "lemon", **more: object) -> Tree:
    cells = {"grown": "ground", "climate": "dry_summer", "hemisphere": "north", "uid": "t", "name": "Tree", **more}
    return Tree(crop=crop, **cells)  # type: ignore[arg-type]


def tasks_due(planted: Tree, day: date, *events: Event, looks: tuple[Look, ...] = (), ahead: int = 0) -> set[str]:
    ledger = Ledger([planted], {"t": sorted(events, key=lambda event: event.when)}, {"t": looks})
    return {item.id for item in due(ledger, TASKS, CROPS.belongs, day, ahead)}


def test_every_row_of_the_table_is_sound_and_cites_a_source() -> None:
    sources = {}
    for path in (KNOWLEDGE / "sources").glob("*.yaml"):
        sources.update(yaml.safe_load(path.read_text(encoding="utf-8")))
    ids = [task.id for task in TASKS]
    assert len(ids) == len(set(ids))
    groups = {"any"} | {name for own in CROPS.groups.values() for name in own} | set(CROPS.groups)
    for row, task in zip(TABLE.rows, TASKS, strict=True):
        assert row.source and set(row.source) <= set(sources), task.id
        assert set(task.climates.split()) <= {"any", *CLIMATES}, task.id
        assert set(task.crops.split()) <= groups, task.id
        assert set(task.grown.split()) <= {"any", *GROWN}, task.id
        assert all(1 <= month <= 12 for months in task.months.values() for month in months), task.id


def year_of(planted: Tree, *events: Event) -> set[str]:
    """The names of everything due at some time of the year."""
    names: set[str] = set()
    for month in range(1, 13):
        ledger = Ledger([planted], {"t": events}, {"t": ()})
        names |= {item.name for item in due(ledger, TASKS, CROPS.belongs, date(2026, month, 20), 0)}
    return names


@pytest.mark.parametrize("hemisphere", ["north", "south"])
@pytest.mark.parametrize("climate", CLIMATES)
def test_every_climate_and_half_of_the_world_has_the_chores_of_the_year(climate: str, hemisphere: str) -> None:
    planted = tree(climate=climate, hemisphere=hemisphere, water="drip")
    # Fed at the end of the cold season, which begins the window of the second part in either half of the world.
    fed = Event("fed", date(2026, 3 if hemisphere == "north" else 9, 1), tree="t")
    names = year_of(planted, fed)
    chores = {"Run the drip line", "Pull mulch off the trunk", "Look for rootstock suckers"}
    chores |= {"Next part of the year's feeding"}
    chores |= {"Before the rains", "After the rains"} if climate == "tropical" else {"Pruning window"}
    assert chores <= names
    assert ("Frost cover ready" in names) == (climate != "tropical")


@pytest.mark.parametrize(
    ("planted", "wanted"),
    [
        (tree("apple", climate="cool_humid"), {"prune_pome"}),
        (tree("apricot"), {"prune_dry", "suckers_summer"}),
        (tree(grown="pot"), {"pot_flush"}),
        (tree(climate="cold_dry"), {"trunk_guard", "frost_ready_cool"}),
        (tree("mango", climate="tropical"), {"before_rains", "after_rains"}),
        (tree(water="drip line"), {"drip_spring", "drip_summer"}),
        (tree(emitters=2), {"drip_spring"}),
    ],
)
def test_tasks_come_once_a_year_in_opposite_seasons_of_the_two_halves(planted: Tree, wanted: set[str]) -> None:
    months = {}
    for half in ("north", "south"):
        there = Tree(**{**{name: getattr(planted, name) for name in planted.__slots__}, "hemisphere": half})
        months[half] = {
            task: {month for month in range(1, 13) if task in tasks_due(there, date(2026, month, 15))}
            for task in wanted
        }
    for task in wanted:
        assert months["north"][task], task
        assert months["south"][task] == {(month + 5) % 12 + 1 for month in months["north"][task]}


@pytest.mark.parametrize(
    ("planted", "never"),
    [
        (tree("apple"), "prune_evergreen"),
        (tree("fig", climate="tropical"), "frost_off"),
        (tree(), "drip_spring"),
        (tree(grown="pot"), "mulch_spring"),
        (tree("mango", climate="tropical"), "frost_ready"),
        (tree(climate="cool_humid"), "sun_on_bark"),
        (tree(hemisphere=""), "mulch_spring"),
    ],
)
def test_tasks_that_do_not_concern_a_tree_never_come(planted: Tree, never: str) -> None:
    for month in range(1, 13):
        assert never not in tasks_due(planted, date(2026, month, 15))


def test_a_window_over_the_turn_of_the_year_is_one_window() -> None:
    southern = tree("apricot", hemisphere="south", climate="humid_subtropical")
    assert "prune_dry" in tasks_due(southern, date(2026, 1, 10))
    done = Event("pruned", date(2026, 1, 12))
    assert "prune_dry" not in tasks_due(southern, date(2026, 2, 1), done)
    assert "prune_dry" in tasks_due(southern, date(2027, 1, 10), done)


def test_a_task_put_down_as_done_is_gone_until_next_year() -> None:
    mark = Event("text", date(2026, 3, 5), subject="round:mulch_spring")
    assert "mulch_spring" in tasks_due(tree(), date(2026, 3, 20))
    assert "mulch_spring" not in tasks_due(tree(), date(2026, 3, 20), mark)
    assert "mulch_spring" in tasks_due(tree(), date(2027, 3, 20), mark)


@pytest.mark.parametrize(
    ("feedings", "is_due"),
    [
        ([], False),
        ([("2026-02-20", "part 1 of 2")], True),
        ([("2026-04-10", "part 1 of 2")], False),  # six weeks are not over by 1 May
        ([("2026-02-20", "part 2 of 2")], False),
        ([("2026-02-20", "")], True),
        ([("2026-01-20", ""), ("2026-03-05", "")], False),
        ([("2025-06-20", "part 1 of 2")], False),  # last year's
    ],
)
def test_the_next_part_of_the_feeding_falls_due(feedings: list[tuple[str, str]], is_due: bool) -> None:
    events = [Event("fed", date.fromisoformat(day), subject=part) for day, part in feedings]
    assert ("second_feeding" in tasks_due(tree(), date(2026, 5, 1), *events)) is is_due


def test_a_look_and_its_tests_stay_due_until_done() -> None:
    day = date(2026, 5, 6)
    check = PendingCheck("soil_fizz", "vinegar on the soil", day - timedelta(days=2))
    look = Look(day - timedelta(days=40), checks=(check,), look_again=day - timedelta(days=1), likely=("Iron: likely",))
    assert {"look_again", "test_soil_fizz"} <= tasks_due(tree(), day, looks=(look,))
    answered = Event("test_result", day, subject="soil fizz", result="no")
    assert "test_soil_fizz" not in tasks_due(tree(), day, answered, looks=(look,))
    assert not {"look_again", "test_soil_fizz"} & tasks_due(tree(), day, looks=(look, Look(day)))


def test_notes_older_than_the_round_reads_bear_on_no_round() -> None:
    old = EVENTS_COUNT_DAYS + 1
    for month in range(1, 13):
        day = date(2026, month, 15)
        kinds = [("fed", "part 1 of 2"), ("planted", ""), ("pruned", ""), ("emitter_cleaned", "")]
        kinds += [("text", f"round:{task.id}") for task in TASKS]
        events = [Event(what, day - timedelta(days=old), subject=subject) for what, subject in kinds]
        assert tasks_due(tree(water="drip"), day, *events, ahead=365) == tasks_due(tree(water="drip"), day, ahead=365)


def seen(
    answers: dict[str, str] | None = None, result: str = "causes", cause: str = "", day: str = "2026-02-25"
) -> Look:
    causes = [{"id": cause, "belief": 0.8, "confirmed": False}] if cause else []
    return Look(date.fromisoformat(day), {"answers": answers or {}}, {"result": result, "causes": causes})


@pytest.mark.parametrize(
    ("planted", "look", "pruning", "feeding"),
    [
        ("2019", None, True, True),
        ("2025-12", None, False, False),  # planted four months ago
        ("2026", None, False, False),
        ("2024-12", None, True, True),
        ("2019", seen({"soil_at_depth": "wet"}), False, False),
        ("2019", seen(cause="salt_burn"), False, False),
        ("2019", seen(cause="nitrogen_shortage"), False, True),  # what it wants is food
        ("2019", seen(result="nothing_odd"), True, True),
        ("2019", seen(result="leave_alone", cause="old_leaves"), True, True),
        ("2019", seen(cause="salt_burn", day="2025-06-01"), True, True),  # last summer's look
    ],
)
def test_a_newly_planted_or_ailing_tree_is_neither_pruned_nor_fed(
    planted: str, look: Look | None, pruning: bool, feeding: bool
) -> None:
    fed = Event("fed", date(2026, 2, 20), subject="part 1 of 2")
    names = tasks_due(tree(planted=planted), date(2026, 4, 20), fed, looks=(look,) if look else ())
    assert ("prune_evergreen" in names, "second_feeding" in names) == (pruning, feeding)


def test_the_walk_begins_with_the_tree_in_trouble_and_the_longest_overdue() -> None:
    day = date(2026, 5, 6)

    def planted(name: str) -> Tree:
        return tree(uid=name, name=name)

    def look(again: int, result: str, *checks: PendingCheck) -> tuple[Look, ...]:
        told = {"answers": {}, "result": {"result": result}, "checks": checks, "look_again": day + timedelta(again)}
        return (Look(day - timedelta(days=30), **told),)  # type: ignore[arg-type]

    smell = PendingCheck("soil_smell_look", "Smell the soil", day - timedelta(days=30))
    looks = {
        "calm": look(-20, "leave_alone"),
        "old": look(-9, "causes"),
        "tested": look(-3, "causes", smell, PendingCheck("watch_new_leaves", "Mark a twig", day)),
        "coming": look(5, "causes", smell),
    }
    items = by_need(due(Ledger([planted(name) for name in looks], {}, looks), TASKS, CROPS.belongs, day, 14), day)
    order = [(item.id, *item.trees) for item in items if item.until is None]
    assert order == [
        ("test_soil_smell_look", "coming"), ("look_again", "old"), ("look_again", "tested"), ("look_again", "calm"),
        ("look_again", "coming"),
    ]  # fmt: skip
    tested = next(item.say for item in items if item.trees == ("tested",))
    assert "Not done yet, as far as the book knows: 'Smell the soil'." in tested
    windows = [item.until for item in items if item.until and item.start <= day]
    assert windows == sorted(windows) and items[-1].id == "look_again"


def test_a_test_is_no_longer_asked_for_after_a_season() -> None:
    day = date(2026, 5, 6)
    for age, asked in ((119, True), (121, False)):
        look = Look(day - timedelta(days=age), checks=(PendingCheck("soil_fizz", "vinegar on the soil"),))
        assert ("test_soil_fizz" in tasks_due(tree(), day, looks=(look,))) is asked


def test_trees_with_the_same_task_are_named_together() -> None:
    both = [tree(uid="a", name="b tree"), tree(uid="b", name="A tree")]
    items = due(Ledger(both, {}, {}), TASKS, CROPS.belongs, date(2026, 3, 20), 0)
    assert [item.trees for item in items if item.id == "mulch_spring"] == [("A tree", "b tree")]


texts = st.text(st.characters(exclude_categories=("Cs",)), min_size=1, max_size=120)
items = st.builds(
    Due, start=st.dates(date(2025, 1, 1), date(2027, 1, 1)), until=st.none() | st.dates(date(2025, 1, 1)),
    id=texts, name=texts,
    say=texts, trees=st.lists(texts, min_size=1, max_size=4).map(tuple),
)  # fmt: skip


@given(st.lists(items, max_size=4))
def test_the_calendar_file_is_read_by_a_library_as_it_was_meant(wanted: list[Due]) -> None:
    icalendar = pytest.importorskip("icalendar")
    today = date(2026, 5, 6)
    text = ics.calendar(wanted, today)
    assert text.endswith("END:VCALENDAR\r\n")
    for line in text.split("\r\n"):
        assert len(line.encode()) <= 75 and "\n" not in line and "\r" not in line
    read = icalendar.Calendar.from_ical(text.encode())
    events = read.walk("VEVENT")
    assert str(read["VERSION"]) == "2.0" and len(events) == len(wanted)
    for event, item in zip(events, wanted, strict=True):
        assert event.decoded("DTSTART") == max(item.start, today)
        assert event.decoded("DTEND") - event.decoded("DTSTART") == timedelta(days=1)
        assert event.decoded("DTSTAMP").date() == today
        assert str(event["UID"]) == ics.uid_of(item)
        names = ", ".join(item.trees)
        until = f"\nUntil {item.until.isoformat()}." if item.until else ""
        # the library, too, takes any escaped line end for a line feed
        assert str(event["DESCRIPTION"]) == as_text(f"{item.say}\nTrees: {names}.{until}")


def as_text(text: str) -> str:
    kept = text.replace("\r\n", "\n")
    return "".join(mark for mark in kept if mark in "\n\t" or (ord(mark) >= 32 and ord(mark) != 127))


def test_the_same_item_has_the_same_uid_in_every_export() -> None:
    item = Due(date(2026, 3, 1), None, "mulch", "Mulch", "say", ("Fig",))
    assert ics.uid_of(item) == ics.uid_of(item)
    assert len({ics.uid_of(item), ics.uid_of(Due(date(2027, 3, 1), None, "mulch", "Mulch", "say", ("Fig",)))}) == 2


def test_folding_cuts_by_octets_and_splits_no_character() -> None:
    # RFC 5545 section 3.1: lines longer than 75 octets SHOULD be folded; a fold is CRLF and one blank.
    line = "SUMMARY:" + "é🍋" * 60
    folded = ics.fold(line)
    assert all(len(piece.encode()) <= 75 for piece in folded.split("\r\n"))
    assert folded.replace("\r\n ", "") == line


def test_escapes_are_those_of_the_standard() -> None:
    # RFC 5545 section 3.3.11
    assert ics.escape("a\\b;c,d\ne:f") == "a\\\\b\\;c\\,d\\ne:f"


def borer_look(day: date) -> Look:
    steps = [
        {"cause": "peachtree_borer", "when": "now", "do": "Scrape soil and mulch off the trunk base."},
        {"cause": "peachtree_borer", "when": "likely", "do": "In autumn or spring follow each fresh hole with a wire."},
    ]
    causes = [{"id": "peachtree_borer", "name": "Peachtree borer", "belief": 0.8, "word": "very likely"}]
    return Look(day=day, result={"result": "causes", "causes": causes, "steps_now": steps})


def test_the_steps_of_the_last_look_are_in_the_round_once_each_and_the_dated_one_in_its_season() -> None:
    summer, autumn = date(2026, 7, 10), date(2026, 9, 2)
    steps = {"step_peachtree_borer", "step_later_peachtree_borer"}
    peach, looks = tree("peach"), (borer_look(summer),)
    assert tasks_due(peach, summer, looks=looks) & steps == {"step_peachtree_borer"}
    assert tasks_due(peach, autumn, looks=looks) & steps == steps
    done = Event("text", autumn, subject="round:step_later_peachtree_borer", tree="t")
    assert tasks_due(peach, autumn, done, looks=looks) & steps == {"step_peachtree_borer"}
    assert not tasks_due(peach, date(2027, 8, 1), looks=looks) & steps
    # In the southern half July is winter, and spring comes before autumn.
    assert tasks_due(tree("peach", hemisphere="south"), autumn, looks=looks) & steps == steps
    calm = Look(day=summer, result={**borer_look(summer).result, "result": "leave_alone"})
    assert not tasks_due(peach, summer, looks=(calm,)) & steps


@pytest.mark.parametrize(
    ("words", "seasons"),
    [
        ("In autumn or spring follow each hole", ("autumn", "spring")),
        ("Prune in late winter, when it is dry.", ("winter",)),
        ("timed to the summer flight of the moths", ()),
        ("Feel the soil before each watering.", ()),
    ],
)
def test_a_step_says_its_season(words: str, seasons: tuple[str, ...]) -> None:
    from sallow.trees.steps import seasons_of

    assert seasons_of(words) == seasons
