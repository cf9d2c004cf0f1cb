"""Immutable values: the part of the standard library's dataclasses that sallow uses, quick to set up.

The library writes and compiles several methods for each class when a module is imported; for the classes of one look
that takes as long as the look itself. Here the methods are shared ones that read the names of the fields. To type
checkers these are the library's own ``dataclass``, ``field`` and ``replace``, and its ``fields`` and ``asdict`` work on
the classes made here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
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


class _LibraryFields:
    """The library's own description of a class's fields, made when something asks for it."""

    __slots__ = ("annotations", "made", "module", "told")

    def __init__(self, module: str, annotations: Mapping[str, Any], told: Mapping[str, _Field]) -> None:
        self.module = module
        self.annotations = annotations
        self.told = told
        self.made: Any = None

    def __get__(self, instance: object, owner: type) -> Any:
        if self.made is None:
            import dataclasses

            namespace: dict[str, Any] = {"__annotations__": dict(self.annotations), "__module__": self.module}
            for name, told in self.told.items():
                stated = {"default": told.default, "default_factory": told.default_factory}
                known = {key: value for key, value in stated.items() if value is not _MISSING}
                namespace[name] = dataclasses.field(**known, compare=told.compare, repr=told.repr)
            twin: Any = dataclasses.dataclass(init=False, repr=False, eq=False)(type(owner.__name__, (), namespace))
            self.made = twin.__dataclass_fields__
        return self.made


def _dataclass(*, slots: bool, frozen: bool = False, order: bool = False, eq: bool = True) -> Callable[[type], type]:
    """A class decorator: the annotations are the fields, each with a slot."""
    if not slots:
        raise TypeError("these classes always have slots")

    def made(plain: type) -> type:
        return _value_class(plain, frozen, order, eq)

    return made


def _value_class(plain: type, frozen: bool, order: bool, eq: bool) -> type:
    annotations = dict(plain.__annotations__)
    names = tuple(annotations)
    stated = {name: vars(plain)[name] for name in names if name in vars(plain)}
    told = {name: value if isinstance(value, _Field) else _Field(value) for name, value in stated.items()}
    namespace = {key: value for key, value in vars(plain).items() if key not in (*names, "__dict__", "__weakref__")}
    namespace |= {
        "__qualname__": plain.__qualname__,
        "__slots__": names,
        "__match_args__": names,
        "__dataclass_fields__": _LibraryFields(plain.__module__, annotations, told),
    }
    compared = _reader(tuple(name for name in names if name not in told or told[name].compare))
    shown = tuple(name for name in names if name not in told or told[name].repr)
    methods: dict[str, Any] = {"__repr__": _representation(shown)}
    if eq:
        methods |= {"__eq__": _equality(compared), "__hash__": (lambda self: hash(compared(self))) if frozen else None}
    if frozen:
        methods |= {"__setattr__": _no_set, "__delattr__": _no_delete}
    if order:
        methods |= _orders(compared)
    for name, method in methods.items():
        namespace.setdefault(name, method)
    value_class: Any = type(plain)(plain.__name__, plain.__bases__, namespace)
    setters = tuple([vars(value_class)[name].__set__ for name in names])
    value_class.__init__ = _initialiser(names, setters, told, namespace.get("__post_init__"))
    value_class.__getstate__ = lambda self: [getattr(self, name) for name in names]
    value_class.__setstate__ = _state_setter(setters)
    return value_class  # type: ignore[no-any-return]


def _reader(names: tuple[str, ...]) -> Callable[[object], Any]:
    return attrgetter(*names) if names else lambda _: ()


def _initialiser(
    names: tuple[str, ...], setters: tuple[Any, ...], told: Mapping[str, _Field], after: Callable[[Any], None] | None
) -> Callable[..., None]:
    count = len(names)

    def __init__(self: Any, *values: Any, **named: Any) -> None:
        if named or len(values) != count:
            values = _completed(type(self).__name__, names, told, values, named)
        for assign, value in zip(setters, values):  # noqa: B905 (as long as each other by now)
            assign(self, value)
        if after is not None:
            after(self)

    return __init__


def _completed(
    of: str, names: tuple[str, ...], told: Mapping[str, _Field], values: tuple[Any, ...], named: dict[str, Any]
) -> tuple[Any, ...]:
    """All values in the order of the fields; TypeError for one too many, one unknown or one missing."""
    if len(values) > len(names):
        raise TypeError(f"{of}() takes {len(names)} values, not {len(values)}")
    result = list(values)
    for name in names[len(values) :]:
        if name in named:
            result.append(named.pop(name))
        elif name not in told:
            raise TypeError(f"{of}() needs a value for '{name}'")
        elif told[name].default is not _MISSING:
            result.append(told[name].default)
        else:
            result.append(told[name].default_factory())
    if named:
        raise TypeError(f"{of}() has no place for '{next(iter(named))}'")
    return tuple(result)


def _representation(names: tuple[str, ...]) -> Callable[[Any], str]:
    def __repr__(self: Any) -> str:
        return f"{type(self).__qualname__}({', '.join(f'{name}={getattr(self, name)!r}' for name in names)})"

    return __repr__


def _equality(compared: Callable[[object], Any]) -> Callable[[Any, object], Any]:
    def __eq__(self: Any, other: object) -> Any:
        if self is other:
            return True
        return compared(self) == compared(other) if type(self) is type(other) else NotImplemented

    return __eq__


def _orders(compared: Callable[[object], Any]) -> dict[str, Any]:
    def ordered(tell: Callable[[Any, Any], bool]) -> Callable[[Any, object], Any]:
        return lambda self, other: (
            tell(compared(self), compared(other)) if type(self) is type(other) else NotImplemented
        )

    return {
        "__lt__": ordered(lambda one, other: one < other),
        "__le__": ordered(lambda one, other: one <= other),
        "__gt__": ordered(lambda one, other: one > other),
        "__ge__": ordered(lambda one, other: one >= other),
    }


def _state_setter(setters: tuple[Any, ...]) -> Callable[[Any, list[Any]], None]:
    def __setstate__(self: Any, state: list[Any]) -> None:
        for assign, value in zip(setters, state, strict=True):
            assign(self, value)

    return __setstate__


def _no_set(_: Any, name: str, __: Any) -> None:
    from dataclasses import FrozenInstanceError

    raise FrozenInstanceError(f"cannot assign to field '{name}'")


def _no_delete(_: Any, name: str) -> None:
    from dataclasses import FrozenInstanceError

    raise FrozenInstanceError(f"cannot delete field '{name}'")


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
