"""What people ask: about one job, where its figures come from, its card; and a part by what they have of it.

Nothing here books. Every answer is given over all jobs that count, whatever week the job lies in.

May enter: what ``work`` may, and the files beside this room. May not enter: ``entries``, ``ordering``.

Tests: tests/work/questions; whole runs are in tests/commands.
"""
