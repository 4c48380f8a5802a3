"""The page: the same answers as the commands, in the browser that people have, on this machine alone.

``app`` says which address is answered by which function, ``doors`` who is let in, ``kept`` holds the plan for
as long as no file changed, ``shown`` renders, ``serving`` starts and stops. What people open is in
``views``. A form works without script; nothing comes from elsewhere, and nothing leaves the machine.

May enter: ``work``, words and drawings of ``reports``, values; starlette, jinja2 and uvicorn, here alone. May
not enter: a rule of the trade, a reader of sheets, the thinking, the ledger. No other command loads it.

Tests: tests/page; in a real browser, tests/browser/test_open_in_browser.py.
"""
