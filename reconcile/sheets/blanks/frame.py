"""An example frame file with every key explained, for a folder that has no frame yet."""

NAME = "EX-1.toml"

TEXT = """\
# An example of a frame file. Its figures are invented: use none of them on a chair.
# Make one such file for each frame, with the figures of its build sheet, and delete this one.
# A line that begins with # is not read. `reconcile frames --new` asks for everything instead.

code   = "EX-1"                  # as the jobs sheet names it
name   = "Example frame"
source = "invented example"      # the build sheet; printed on every sheet

[[adjustment]]                   # one for each measure that can be changed
name    = "seat width"
minimum = "14 in"                # the size with no spacer fitted
maximum = "20 in"
step    = "1/2 in"               # what one spacer adds, at every joint of one side
sides   = 2                      # 2: left and right by itself; 1: once for the chair (a depth, a
                                 # back height): bolts and stacks then count both rails together

[[adjustment.joint]]             # one for each place that is bolted, on each side
name       = "upper front"
bolts      = 1                   # bolts a side
stacks     = 1                   # spacer stacks a side; left out: as many as bolts
thread     = "1/4-20 UNC"
head       = "socket cap"
grades     = ["ASTM A574"]           # accepted grades, best first; left out: any
length     = "1 1/2 in"          # the bolt at minimum size, without options
per_step   = "1/2 in"            # what a step adds to it; "0 in": opened, but not built up
grip       = "1 in"              # clamped thickness at minimum size
engagement = { minimum = "3/8 in", depth = "5/8 in" }    # thread in the tapped member; a pitch of
                                 # its depth stays clear. Or maximum: the most by the maker's word
into       = "aluminium"         # the tapped member: steel, aluminium or plastic
spacers    = [{ part = "EXAMPLE-SPACER", thickness = "1/2 in" }]
reuse        = "after inspection"    # bolts that come out; or "never"
spacer_reuse = "after inspection"
# finishes = ["black oxide", "zinc"]    # accepted finishes, best first; left out: any
# torque   = "9 N*m"             # word for word, of the first grade; left out: not given
#            or of each grade: { "ASTM A574" = "9 N*m", "8.8" = "7 N*m" }
# note     = "clean the tapped end"    # printed with the joint
# most_pieces = 3                # spacers in one stack; left out: any number
# lengthen = [{ option = "front rigging", by = "1/4 in" }]    # options that add to bolt and grip
# extras   = [{ part = "TL-MED", quantity = "0.1 mL" }]       # used up with each bolt
# A bolt that ends in a nut has, for engagement and into, a nut, new each time:
# nut      = { part = "NUT-LK-14", height = "0.22 in", protrusion = "1 pitch", most = "1/4 in" }
# Washers that the grip does not count; they stay with the joint unless renew = true:
# washers  = [{ part = "WSH-14", thickness = "1.5 mm", count = 2 }]
# A countersunk bolt is measured over all, its head included.

# [[adjustment.cover]]           # one on each side, chosen by the steps on that side
# name  = "cover plate"
# steps = [{ from = 0, to = 2, part = "CP-02" }, { from = 3, to = 6, part = "CP-36" }]
# A part that is made for one side, a bracket: part = { left = "BR-2L", right = "BR-2R" }
# reuse = "after inspection"

# [[adjustment.sized]]           # one on the chair, chosen by its size
# name  = "seat pan"
# when  = "solid seat"           # only with this option; left out: always
# sizes = [
#     { from = "14 in", to = "15 1/2 in", part = "PAN-15" },
#     { from = "16 in", to = "20 in", part = "PAN-20" },
# ]
# reuse = "after inspection"

# [[adjustment.disturbed]]       # used up because it stands in the way
# part     = "NUT-LK-14"
# quantity = "4 each"
# when     = "anti-tippers"

# [[adjustment.after]]           # what is checked before the chair goes back
# check   = "wheel locks hold, both sides"
# when    = "anti-tippers"       # only with this option; left out: always
# reading = "mm"                 # where a figure is written down: its unit
"""
