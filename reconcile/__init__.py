"""Reconcile a wheelchair workshop's planned frame adjustments with its stock of parts and fasteners."""

__version__ = "0.1.0"
