"""Commands to start with: own sheets looked at, blanks, the demo workshop, and a ledger begun anew.

What may enter: words, options and exit statuses; what is done stands in the room of what people do.

May enter: work, reports, sheets and values, each where it is used. May not enter: rules of any kind.

Tests: tests/commands.
"""
