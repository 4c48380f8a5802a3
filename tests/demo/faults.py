# ruff: noqa: E501 (tables are read across)
"""What is planted: which cell is at fault, how the program calls it, and what is wrong there."""

STOCK_FAULTS = {
    "TAPE-40": ("unit", "unit-unknown", "unit that nobody knows"),
    "CLP-25": ("on hand", "cell-error", "error value"),
    "PLG-30": ("on hand", "formula-not-calculated", "formula that was never calculated"),
    "LBL-INS": ("on hand", "cell-blank", "blank count"),
    "GRP-25": ("on hand", "number-unreadable", "count in words"),
    "FTP-ANG": ("on hand", "on-hand-negative", "less than nothing on hand"),
    "ARM-SHT": ("allocated", "allocated-above-on-hand", "more allocated than lies there"),
    "MIX-1": ("description", "bolt-unread", "bolt without pitch and grade"),
    "B14-038": ("length", "length-is-date", "3/8 turned into 8 March"),
    "SS516-200": ("length", "bolt-contradicted", "length 2 in, description 2-1/2"),
    "BM6F-30": ("thread", "thread-unknown", "pitch that no standard lists"),
    "B14-15": ("length", "length-is-date", "1-1/2 turned into 1 January 2002"),
    "BRG-6O8": ("part", "part-near-twin", "letter O for the nought of BRG-608"),
    "--- counted again on Monday ---": ("part", "row-is-note", "a remark among the rows"),
    "Total": ("part", "row-is-total", "the sum of the column below the rows"),
}

SECOND_BIN_FAULTS = {
    "NUT-BAR-516": ("unit", "part-unit-differs", "counted in each and in packs"),
    "BRG-R10": ("lead time days", "part-differs", "lead time 5 and 9"),
}

ORDER_FAULTS = {
    "CAS-5": ("Due", "due-past", "overdue order"),
    "RIM-24": ("Due", "due-blank", "order without a due date"),
    "B14-520": ("Part no", "due-part-unknown", "order for a part that stock does not list"),
}

# job | heading | code | what is wrong | how often, if not once. Where a stack is told by the column Spacers now, it is
# known: such lines fall away.
JOB_FAULTS = """
J-4108 | Size wanted | no-change           | nothing to change
J-4109 | Size wanted | sides-differ        | odd number of steps wanted
J-4111 | Size wanted | sides-differ        | odd number of steps wanted
J-4114 | Size now    | split-assumed       | odd number of steps now, split not given
J-4115 | Planned day | date-ambiguous      | date that two countries read differently
J-4116 | Frame       | frame-unknown       | frame code with a 1 too many
J-4124 | Size now    | size-between-steps  | size between two steps
J-4125 | Left now    | sides-far-apart     | sides now two steps apart
J-4129 | Options     | option-misspelt     | option misspelt
J-4130 | Size now    | split-assumed       | odd number of steps now, split not given
J-4130 | Size wanted | sides-differ        | odd number of steps wanted
J-4131 | Size now    | split-assumed       | odd number of steps now, split not given
J-4131 | Options     | option-unused       | option that changes nothing
J-4133 | Left now    | sides-do-not-add-up | left and right do not add up
J-4139 | Job no      | job-doubled         | job number used twice
J-4142 | Planned day | day-not-worked      | job on a Saturday
J-4104 | Size now    | stack-unknown       | what comes off each of 4 joints on 2 sides, not known | 8
J-4114 | Size now    | stack-unknown       | what comes off each of 4 joints on the right, not known | 4
J-4125 | Size now    | stack-unknown       | what comes off each of 4 joints on 2 sides, not known | 8
J-4125 | Frame       | stacks-differ       | stacks of 1 in of two pieces on the left, of one on the right | 2
J-4141 | Size now    | stack-unknown       | what comes off the depth block, not known
J-4103 | Size now    | bolt-unknown        | 80 mm in 8.8 or 10.9: which comes out, not known
J-4107 | Size now    | bolt-unknown        | 1 1/4 in of SAE 8 or SAE 5: which comes out, not known
J-4123 | Size now    | bolt-unknown        | 2 1/4 in of SAE 8 or SAE 5: which comes out, not known
J-4130 | Size now    | bolt-unknown        | 50 mm in 12.9 or 8.8: which comes out, not known
J-4138 | Size now    | bolt-unknown        | 80 mm in 8.8 or 10.9: which comes out, not known
J-4153 | Size now    | bolt-unknown        | bolts of several grades: which comes out, not known
J-4153 | Size now    | stack-unknown       | what comes off each of 2 joints on 2 sides, not known | 2
J-4157 | Size now    | bolt-unknown        | bolts of several grades: which comes out, not known
J-4161 | Size now    | stack-unknown       | what comes off each of 4 joints on 2 sides, not known | 4
J-4164 | Size now    | split-assumed       | odd number of steps now, split not given
J-4164 | Size wanted | sides-differ        | odd number of steps wanted
J-4094 | Planned day | day-past            | day that has passed
J-4094 | Job no      | job-joint-begun     | one side of a joint is done, the other is not
J-4094 | Planned day | job-left-over       | half done when its week was closed
J-4095 | Planned day | day-past            | day that has passed
J-4095 | Planned day | job-left-over       | not begun when its week was closed
"""
