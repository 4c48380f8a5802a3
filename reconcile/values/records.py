"""Data classes that cost little to import: their methods are made when they are first needed, or shared.

``dataclass`` here does what that of ``dataclasses`` does with ``slots=True``. That one compiles six functions
for each frozen class; a command loads two hundred classes, makes values of few, and paid a fifth of its time
for it. Here a class compiles its ``__init__`` when its first value is made, and shares the rest.
"""

import dataclasses
from collections.abc import Callable
from operator import attrgetter
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass  # to a type checker there is no difference
else:

    def dataclass(*, frozen=False, slots=False, eq=True, order=False):
        """As ``dataclasses.dataclass``, which makes whatever is not made cheaply here."""

        def made(cls: type) -> type:
            if slots and not order and not _is_own(cls):
                return _record(cls, frozen, eq)
            return dataclasses.dataclass(frozen=frozen, slots=slots, eq=eq, order=order)(cls)

        return made


__all__ = ["dataclass"]

OWN = {"__init__", "__repr__", "__eq__", "__hash__", "__setattr__", "__delattr__"}


def _is_own(cls: type) -> bool:
    """Whether ``dataclasses`` alone knows what to make: own methods, fields inherited or not given."""
    held_back = any(isinstance(value, dataclasses.Field) and not value.init for value in vars(cls).values())
    inherits = any(dataclasses.is_dataclass(base) for base in cls.__bases__)
    return held_back or inherits or bool(OWN & vars(cls).keys())


def _record(cls: type, frozen: bool, eq: bool) -> type:
    made: Any = dataclasses.dataclass(init=False, repr=False, eq=False, slots=True)(cls)
    made.__init__ = _first_init(made, frozen)
    made.__repr__ = _repr
    if eq:
        made.__eq__ = _eq_of(made)
        made.__hash__ = _hash_of(made) if frozen else None
    if frozen:
        made.__dataclass_params__.frozen = True  # asked of a class by the data classes that inherit from it
        made.__setattr__, made.__delattr__ = _set, _delete
        made.__getstate__, made.__setstate__ = _state, _set_state
    kept: type = made
    return kept


# --- made with the first value -------------------------------------------------------------------------


def _first_init(made: Any, frozen: bool) -> Callable[..., None]:
    """An ``__init__`` that puts the compiled one in its place, and calls it."""

    def first(self: object, *args: object, **named: object) -> None:
        made.__init__ = _init_of(made, frozen)
        made.__init__(self, *args, **named)

    return first


def _init_of(made: Any, frozen: bool) -> Callable[..., None]:
    """``__init__`` with a parameter for each field. A frozen class is filled through its slots."""
    known: dict[str, object] = {"_none": dataclasses.MISSING}
    fields = dataclasses.fields(made)
    ordered = [_parameter(field, known) for field in fields if not field.kw_only]
    named = [_parameter(field, known) for field in fields if field.kw_only]
    body = ["pass"]
    for field in fields:
        name = field.name
        made_here = f"_make_{name}() if {name} is _none else " if f"_make_{name}" in known else ""
        known[f"_set_{name}"] = getattr(made, name).__set__
        body.append(f"_set_{name}(self, {made_here}{name})" if frozen else f"self.{name} = {made_here}{name}")
    if hasattr(made, "__post_init__"):
        body.append("self.__post_init__()")
    parameters = ", ".join(["self", *ordered, *(["*", *named] if named else [])])
    exec(f"def __init__({parameters}):\n " + "\n ".join(body), known)  # every name is that of a field
    init: Any = known["__init__"]
    init.__qualname__ = f"{made.__qualname__}.__init__"  # what a missing argument is told of
    kept: Callable[..., None] = init
    return kept


def _parameter(field: "dataclasses.Field[object]", known: dict[str, object]) -> str:
    """A field as a parameter; its default becomes known to the function."""
    if field.default is not dataclasses.MISSING:
        known[f"_default_{field.name}"] = field.default
        return f"{field.name}=_default_{field.name}"
    if field.default_factory is not dataclasses.MISSING:
        known[f"_make_{field.name}"] = field.default_factory
        return f"{field.name}=_none"
    return field.name


# --- shared by all -------------------------------------------------------------------------------------


def _compared(made: Any) -> Callable[[object], tuple[object, ...]]:
    """The values by which two of a class are the same."""
    names = [field.name for field in dataclasses.fields(made) if field.compare]
    if len(names) > 1:
        return attrgetter(*names)
    return lambda self: tuple(getattr(self, name) for name in names)


def _eq_of(made: Any) -> Callable[[object, object], object]:
    compared = _compared(made)

    def equal(self: object, other: object) -> object:
        if other.__class__ is not self.__class__:
            return NotImplemented
        return compared(self) == compared(other)

    return equal


def _hash_of(made: Any) -> Callable[[object], int]:
    compared = _compared(made)
    return lambda self: hash(compared(self))


def _repr(self: Any) -> str:
    names = [field.name for field in dataclasses.fields(self) if field.repr]
    shown = (f"{name}={getattr(self, name)!r}" for name in names)
    return f"{self.__class__.__qualname__}({', '.join(shown)})"


def _set(_self: object, name: str, _value: object) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _delete(_self: object, name: str) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: Any) -> list[object]:
    """What a copy is made from: a frozen value cannot be filled attribute by attribute."""
    return [getattr(self, field.name) for field in dataclasses.fields(self)]


def _set_state(self: Any, state: list[object]) -> None:
    for field, value in zip(dataclasses.fields(self), state, strict=True):
        object.__setattr__(self, field.name, value)
