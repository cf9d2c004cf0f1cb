"""The light values behave as the standard library's dataclasses do, wherever sallow leans on them."""

from __future__ import annotations

import copy
import dataclasses
import json
from dataclasses import FrozenInstanceError
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sallow import values

PLAIN: Any = st.one_of(st.none(), st.booleans(), st.integers(), st.text(max_size=5), st.tuples(st.integers()))


def made(maker: Any) -> type[Any]:
    class Thing:
        """A thing."""

        one: Any
        two: Any = 2
        three: Any = maker.field(default_factory=tuple)
        four: Any = maker.field(default=4, compare=False, repr=False)

        @property
        def both(self) -> tuple[Any, Any]:
            return self.one, self.two

    return maker.dataclass(frozen=True, slots=True)(Thing)  # type: ignore[no-any-return]


OURS, THEIRS = made(values), made(dataclasses)
ARGUMENTS = st.tuples(
    st.lists(PLAIN, max_size=5), st.dictionaries(st.sampled_from(["one", "two", "three", "four", "five"]), PLAIN)
)


def outcome(kind: type[Any], positional: list[Any], named: dict[str, Any]) -> Any:
    try:
        thing = kind(*positional, **named)
    except TypeError:
        return TypeError
    return [getattr(thing, name) for name in ("one", "two", "three", "four", "both")], repr(thing)


@given(ARGUMENTS)
def test_a_value_is_made_as_the_library_makes_it(arguments: tuple[list[Any], dict[str, Any]]) -> None:
    assert outcome(OURS, *arguments) == outcome(THEIRS, *arguments)


@given(st.tuples(PLAIN, PLAIN, PLAIN, PLAIN), st.tuples(PLAIN, PLAIN, PLAIN, PLAIN))
def test_values_compare_and_hash_alike(first: tuple[Any, ...], second: tuple[Any, ...]) -> None:
    assert (OURS(*first) == OURS(*second)) == (THEIRS(*first) == THEIRS(*second))
    if OURS(*first) == OURS(*second):
        assert hash(OURS(*first)) == hash(OURS(*second))
    assert OURS(*first) != THEIRS(*first)


@given(st.tuples(PLAIN, PLAIN, PLAIN, PLAIN))
def test_copies_changes_and_plain_data(content: tuple[Any, ...]) -> None:
    ours, theirs = OURS(*content), THEIRS(*content)
    assert copy.copy(ours) == copy.deepcopy(ours) == ours
    assert dataclasses.asdict(ours) == dataclasses.asdict(theirs)
    assert json.dumps(values.as_data((ours, {"a": ours}))) == json.dumps(
        [dataclasses.asdict(theirs), {"a": dataclasses.asdict(theirs)}]
    )
    for changed in (values.replace(ours, two="x"), dataclasses.replace(ours, two="x")):
        assert changed.both == (content[0], "x") and changed.three == content[2]


def test_the_library_describes_the_fields_alike() -> None:
    described = [
        [(field.name, field.type, field.default, field.compare, field.repr) for field in dataclasses.fields(kind)]
        for kind in (OURS, THEIRS)
    ]
    assert described[0] == described[1]
    assert OURS.__match_args__ == THEIRS.__match_args__ and OURS.__slots__ == THEIRS.__slots__
    assert OURS.__doc__ == "A thing."


def test_a_frozen_value_cannot_be_changed() -> None:
    thing = OURS(1)
    for change in (lambda: setattr(thing, "one", 2), lambda: delattr(thing, "one"), lambda: setattr(thing, "new", 2)):
        with pytest.raises((FrozenInstanceError, AttributeError)):
            change()
    assert thing.one == 1 and not hasattr(thing, "__dict__")


def test_ordered_and_unfrozen_values() -> None:
    def pair(maker: Any, **options: Any) -> type[Any]:
        class Pair:
            a: Any
            b: Any = 0

        return maker.dataclass(slots=True, **options)(Pair)  # type: ignore[no-any-return]

    for maker in (values, dataclasses):
        ordered = pair(maker, frozen=True, order=True)
        assert sorted([ordered(2), ordered(1, 5), ordered(1)]) == [ordered(1), ordered(1, 5), ordered(2)]
        assert ordered(1) <= ordered(1) < ordered(2) >= ordered(2) > ordered(1)
        with pytest.raises(TypeError):
            assert ordered(1) < 1
        by_identity = pair(maker, frozen=True, eq=False)
        assert by_identity(1) != by_identity(1) and len({by_identity(1), by_identity(1)}) == 2
        loose = pair(maker)(1)
        loose.a = 2
        assert loose == pair(maker)(2) or type(loose) is not pair(maker)
        with pytest.raises(TypeError):
            hash(loose)
