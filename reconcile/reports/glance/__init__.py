"""The week on one page, for somebody who stands: verdict, figures, days, what to do today, order value.

`facts` says what is on it, `todo` what there is to do, `form` rules the sheet; `about` is the sheet that says
what the answer rests on. It is rendered from values like all reports; nothing is worked out but sums.

May enter: `reports/orders`, `reports/writing`, values. May not enter: the other tables of a week.

Tests: tests/reports/glance.
"""
