"""The thinking: from jobs, frames and stock to kits, orders, levels, counts and movements. Pure; no I/O.

``needs`` says what a job asks for and which parts may serve it, ``flows`` what comes and goes of each part
in time, ``kits`` which jobs get a whole kit, by the exact choice of ``solver``. ``orders`` says what to buy,
from whom and in which sizes, ``levels`` which shelf levels recorded use proposes. ``joints`` works out what
is clamped, ``counting`` what to count and what became of it, ``closing`` what a week's returns move,
``chairs`` what a chair was left with. ``week`` puts them together.

May enter: ``standards`` and ``values``; a solver in ``solver/programme.py`` and numpy in ``levels``, inside
functions. May not enter: sheets, reports, files, the time of day.

Tests: tests/plan; laws are in tests/laws, published cases in tests/outside.
"""
