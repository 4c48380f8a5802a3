"""The chair as the standing closings left it. Pure; values in, values out. Tests: tests/plan/chairs."""
