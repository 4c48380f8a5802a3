"""The thinking: steps, needs, netting in time, kits and orders. Pure; no I/O."""
