"""Immutable values: as much of the library's dataclasses as sallow needs, quick to set up.

The library's take 0.31 ms a class and 5 ms to import: 28 ms of a look of 70. Those made here share their methods
instead of compiling new ones and take 0.013 ms. The library's named tuples (0.045 ms) compare equal across classes,
which conditions must not, and msgspec takes 10 ms to import. To type checkers these are the library's own
``dataclass``, ``field`` and ``replace``; its ``fields``, ``asdict`` and ``replace`` work on the classes made here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import total_ordering
from operator import attrgetter
from typing import TYPE_CHECKING, Any

_MISSING: Any = object()


class _Field:
    """How one field departs from the plain: its default, and whether it counts in comparing and shows in a repr."""

    __slots__ = ("compare", "default", "default_factory", "repr")

    def __init__(
        self, default: Any = _MISSING, default_factory: Any = _MISSING, compare: bool = True, repr: bool = True
    ) -> None:
        self.default = default
        self.default_factory = default_factory
        self.compare = compare
        self.repr = repr


_PLAIN = _Field()


def _dataclass(
    *, slots: bool, frozen: bool = False, order: bool = False, eq: bool = True
) -> Callable[[type[Any]], type[Any]]:
    """A class decorator: the annotations are the fields, each with a slot."""
    if not slots:
        raise TypeError("these classes always have slots")

    def decorated(plain: type[Any]) -> type[Any]:
        told = {name: _told(vars(plain).get(name, _PLAIN)) for name in plain.__annotations__}
        compared = _reader([name for name, field in told.items() if field.compare])
        namespace = {key: value for key, value in vars(plain).items() if key not in (*told, "__dict__", "__weakref__")}
        methods: dict[str, Any] = {"__repr__": _representation, "__setstate__": _set_state}
        if eq:
            methods |= {"__eq__": _equality(compared), "__hash__": _hash(compared) if frozen else None}
        if order:
            methods["__lt__"] = lambda self, other: _compared(compared, self, other)
        if frozen:
            methods |= {"__setattr__": _no_set, "__delattr__": _no_set}
        fields = {"__slots__": tuple(told), "__match_args__": tuple(told), "__qualname__": plain.__qualname__}
        kind: Any = type(plain)
        made: Any = kind(plain.__name__, plain.__bases__, {**methods, **namespace, **fields})
        made._told = told
        made.__dataclass_fields__ = _LibraryFields(dict(plain.__annotations__))
        made.__init__ = _initialiser([vars(made)[name].__set__ for name in told], told, vars(made).get("__post_init__"))
        return total_ordering(made) if order else made

    return decorated


def _told(stated: Any) -> _Field:
    return stated if isinstance(stated, _Field) else _Field(stated)


def _reader(names: list[str]) -> Callable[[object], Any]:
    return attrgetter(*names) if names else lambda _: ()


def _initialiser(
    setters: list[Any], told: Mapping[str, _Field], after: Callable[[Any], None] | None
) -> Callable[..., None]:
    count = len(setters)

    def __init__(self: Any, *values: Any, **named: Any) -> None:
        if named or len(values) != count:
            values = _completed(type(self).__name__, told, values, named)
        for assign, value in zip(setters, values):  # noqa: B905 (as long as each other by now)
            assign(self, value)
        if after is not None:
            after(self)

    return __init__


def _completed(of: str, told: Mapping[str, _Field], values: tuple[Any, ...], named: dict[str, Any]) -> tuple[Any, ...]:
    """All values in the order of the fields; TypeError for one too many, one unknown or one missing."""
    if len(values) > len(told):
        raise TypeError(f"{of}() takes {len(told)} values, not {len(values)}")
    result = list(values)
    for name, field in list(told.items())[len(values) :]:
        if name in named:
            result.append(named.pop(name))
        elif field.default is not _MISSING:
            result.append(field.default)
        elif field.default_factory is not _MISSING:
            result.append(field.default_factory())
        else:
            raise TypeError(f"{of}() needs a value for '{name}'")
    if named:
        raise TypeError(f"{of}() has no place for '{next(iter(named))}'")
    return tuple(result)


def _representation(self: Any) -> str:
    shown = [f"{name}={getattr(self, name)!r}" for name, field in self._told.items() if field.repr]
    return f"{type(self).__qualname__}({', '.join(shown)})"


def _equality(compared: Callable[[object], Any]) -> Callable[[Any, object], Any]:
    def __eq__(self: Any, other: object) -> Any:
        if self is other:
            return True
        return compared(self) == compared(other) if type(self) is type(other) else NotImplemented

    return __eq__


def _hash(compared: Callable[[object], Any]) -> Callable[[Any], int]:
    return lambda self: hash(compared(self))


def _compared(compared: Callable[[object], Any], one: Any, other: object) -> Any:
    return compared(one) < compared(other) if type(one) is type(other) else NotImplemented


def _set_state(self: Any, state: tuple[None, dict[str, Any]]) -> None:
    for name, value in state[1].items():
        object.__setattr__(self, name, value)


def _no_set(_: Any, name: str, *__: Any) -> None:
    from dataclasses import FrozenInstanceError

    raise FrozenInstanceError(f"the field '{name}' cannot be changed")


class _LibraryFields:
    """The library's own description of a class's fields, made when something asks for it."""

    def __init__(self, annotations: dict[str, Any]) -> None:
        self.annotations = annotations

    def __get__(self, _: object, owner: Any) -> Any:
        import dataclasses

        namespace: dict[str, Any] = {"__annotations__": self.annotations, "__module__": owner.__module__}
        for name, told in owner._told.items():
            stated = {"default": told.default, "default_factory": told.default_factory}
            known = {key: value for key, value in stated.items() if value is not _MISSING}
            namespace[name] = dataclasses.field(**known, compare=told.compare, repr=told.repr)
        twin: Any = dataclasses.dataclass(init=False, repr=False, eq=False)(type(owner.__name__, (), namespace))
        owner.__dataclass_fields__ = twin.__dataclass_fields__
        return owner.__dataclass_fields__


def _replace(value: Any, /, **changes: Any) -> Any:
    """A copy of a value with some of its fields changed."""
    return type(value)(**{name: getattr(value, name) for name in value.__match_args__} | changes)


def as_data(value: Any) -> Any:
    """A value as dictionaries and lists that JSON can carry, fields in their order; what is plain stays as it is."""
    if "__dataclass_fields__" in vars(type(value)):
        return {name: as_data(getattr(value, name)) for name in value.__match_args__}
    if isinstance(value, Mapping):
        return {key: as_data(inner) for key, inner in value.items()}
    return [as_data(inner) for inner in value] if isinstance(value, list | tuple) else value


if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
    from dataclasses import field as field
    from dataclasses import replace as replace
else:
    dataclass, field, replace = _dataclass, _Field, _replace
