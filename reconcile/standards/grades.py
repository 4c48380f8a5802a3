"""Grades of bolts that standards list, each with its source."""

from collections.abc import Mapping

SAE_GRADES = ("1", "2", "4", "5", "5.1", "5.2", "7", "8", "8.1", "8.2")
"""Grades of inch bolts, SAE J429. None is also a property class, so ``grade 8.8`` can only be ISO 898-1."""

PROPERTY_CLASSES = ("4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9")
"""Property classes of metric bolts, ISO 898-1."""

ASTM_SPECIFICATIONS: Mapping[str, tuple[str, ...]] = {
    "A193": ("B5", "B6", "B7", "B7M", "B8", "B8C", "B8M", "B8T", "B16"),
    "A307": ("A", "B", "C"),
    "A320": ("L7", "L7A", "L7B", "L7C", "L7M", "L43", "B8", "B8C", "B8M", "B8T"),
    "A325": (),
    "A354": ("BC", "BD"),
    "A449": (),
    "A490": (),
    "A574": (),
    "F593": ("C", "D", "G", "H"),
    "F594": (),
    "F835": (),
    "F837": (),
    "F879": (),
    "F880": (),
    "F912": (),
    "F3125": ("A325", "A490"),
}
"""ASTM specification: the grades within it. Of bolts and screws; F594 of the stainless nuts that go with
F593. Socket head cap screws in inches are A574, socket button and flat head ones F835, stainless ones F837
and F879. The grades of A193, A307, A320, A325, A354, A449 and A490 as a printed chart of grade marks
gives them; the rest from memory."""


def astm_grades() -> dict[str, str]:
    """Every ASTM grade in our spelling, by its specification and grade run together: ``A193B7``.

    ``ASTM A574``, ``ASTM A193 B7``, ``ASTM A307 grade A``, ``ASTM F593C``: a letter alone is written to
    its specification only where the standard marks its bolts so.
    """
    return {
        f"{specification}{grade}": f"ASTM {specification}{_between(specification, grade)}{grade}"
        for specification, grades in ASTM_SPECIFICATIONS.items()
        for grade in ("", *grades)
    }


def _between(specification: str, grade: str) -> str:
    if not grade or specification == "F593":
        return ""
    return " grade " if len(grade) == 1 else " "
