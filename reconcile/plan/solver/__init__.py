"""The exact choice in plain numbers; it knows nothing of jobs, parts or workshops.

Bundles ask for units of resources by period. Whoever uses it gives bundles and gets marks back.

- ``packing.py``: bundles, what can run short, reducing, equal bundles together
- ``packing_solver.py``: the most bundles of each rank, and the least to buy
- ``programme.py``: a whole-number programme stage by stage; the one file that loads the solver

May import: the standard library, and highspy and numpy inside functions.
Tests: ``tests/plan/solver``, ``tests/laws/test_exact_choice.py``; speed: ``tests/bench/kit_choice.py``.
"""
