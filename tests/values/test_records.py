"""Data classes whose methods are made late are, to whoever uses them, those of ``dataclasses``."""

import copy
import dataclasses
import inspect
import pickle
import pkgutil
from fractions import Fraction
from importlib import import_module

import pytest

import reconcile
from reconcile.values import records
from reconcile.values.measure import Amount


@records.dataclass(frozen=True, slots=True)
class Pin:
    """A value with a default, a made default and a field that does not count."""

    size: int
    head: str = "flat"
    marks: list[str] = dataclasses.field(default_factory=list)
    place: str = dataclasses.field(default="", compare=False, repr=False)


@records.dataclass(frozen=True, slots=True)
class Tag:
    """One field alone."""

    text: str


@records.dataclass(slots=True)
class Tray:
    """May be changed."""

    pins: int = 0


@records.dataclass(frozen=True, slots=True)
class LongPin(Tag):
    """Inherits a field."""

    length: int = 0


def test_a_value_is_made_shown_and_compared_by_its_fields() -> None:
    pin = Pin(3, marks=["new"], place="A1")
    assert repr(pin) == "Pin(size=3, head='flat', marks=['new'])"
    assert pin == Pin(3, "flat", ["new"], "B2")
    assert pin != Pin(4, "flat", ["new"], "A1")
    assert Tag("3") != Tray(3)
    assert {Tag("a"): 1}[Tag("a")] == 1
    assert Pin(1).marks is not Pin(1).marks


def test_a_frozen_value_is_refused_a_change_and_can_be_replaced() -> None:
    tag = Tag("a")
    with pytest.raises(dataclasses.FrozenInstanceError, match="cannot assign to field 'text'"):
        tag.text = "b"  # type: ignore[misc]
    with pytest.raises(dataclasses.FrozenInstanceError, match="cannot delete field 'text'"):
        del tag.text
    assert dataclasses.replace(tag, text="b") == Tag("b")
    assert tag == Tag("a")


def test_one_that_is_not_frozen_is_changed_and_is_no_key() -> None:
    tray = Tray()
    tray.pins = 2
    assert tray == Tray(2)
    with pytest.raises(TypeError, match="unhashable"):
        hash(tray)


def test_a_missing_or_unknown_argument_is_told_with_the_name_of_the_class() -> None:
    with pytest.raises(TypeError, match=r"Tag\.__init__\(\) missing 1 required positional argument: 'text'"):
        Tag()  # type: ignore[call-arg]
    with pytest.raises(TypeError, match="unexpected keyword argument 'colour'"):
        Tag("a", colour="red")  # type: ignore[call-arg]


def test_a_value_is_copied_pickled_and_matched() -> None:
    amount = Amount(Fraction(3), "each")
    assert copy.deepcopy(amount) == pickle.loads(pickle.dumps(amount)) == amount
    match Tag("a"):
        case Tag(text):
            assert text == "a"


def test_a_class_that_inherits_fields_has_them_first() -> None:
    assert LongPin("a", 2) == LongPin(text="a", length=2)
    assert LongPin("a") != Tag("a")
    with pytest.raises(dataclasses.FrozenInstanceError):
        LongPin("a").length = 3  # type: ignore[misc]


def made_late() -> list[type]:
    """Every class of the package that is made late."""
    modules = [
        import_module(module.name) for module in pkgutil.walk_packages(reconcile.__path__, "reconcile.")
    ]
    values = [value for module in modules for value in vars(module).values() if isinstance(value, type)]
    late = {value for value in values if vars(value).get("__repr__") is records._repr}
    return sorted(late, key=lambda made: f"{made.__module__}.{made.__qualname__}")


def parameters_of(init: object) -> list[tuple[str, object, bool]]:
    """Name, kind and whether it may be left out."""
    entries = inspect.signature(init).parameters.values()  # type: ignore[arg-type]
    return [(entry.name, entry.kind, entry.default is not inspect.Parameter.empty) for entry in entries]


def test_each_takes_the_arguments_that_it_would_take_if_it_were_made_at_once() -> None:
    classes = made_late()
    assert len(classes) > 100
    for made in classes:
        fields = [(field.name, field.type, anew(field)) for field in dataclasses.fields(made)]
        at_once = dataclasses.make_dataclass(made.__name__, fields)
        assert parameters_of(records._init_of(made, frozen=True)) == parameters_of(at_once.__init__), made
        assert made.__match_args__ == at_once.__match_args__


def anew(field: "dataclasses.Field[object]") -> "dataclasses.Field[object]":
    """The same field for another class."""
    again = copy.copy(field)
    again.name = again.type = None  # type: ignore[assignment]
    return again
