"""What runs short and what to order: from flows of parts to orders for suppliers.

Orders follow the sheet's levels, minimums and packs; the cheapest sizes only where settings ask.

- ``shortfalls.py``: every part's numbers over all jobs
- ``orders.py``: how much to order and by when
- ``supplier_orders.py``: what goes on whose order, under which reference
- ``placing.py``: a written order to what is booked of it and what its supplier gets
- ``buying.py``: sizes of orders and their prices
- ``lot_sizes.py``: the cheapest plan of orders
- ``lot_bounds.py``: what no plan of lots costs less than
- ``joint_lots.py``: the lots of one supplier together
- ``rounds.py``: which weekly round each order goes in
- ``price_checks.py``: prices that cannot be right or are not there
- ``steady_lots.py``: lots for steady use, and joint cycles

May import: ``standards``, ``values``; in ``plan``: flows, ordering, kits, needs, solver.
Tests: ``tests/plan/orders``, ``tests/laws/test_lot_laws.py``, ``tests/outside/test_published_lots.py``.
"""
