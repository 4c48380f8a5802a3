# ruff: noqa: E501 (tables are read across)
"""The stock: parts that are no bolts, faulty rows, second drawers, orders, suppliers, price breaks."""

import random
from datetime import date
from typing import Any

from demo.bolts import bolt_rows
from demo.tables import NBSP, SEED, Row, day, number, supplier_part, table, typed

STOCK_HEADINGS = {
    "part": "Part No.",
    "description": "Description",
    "kind": "Kind",
    "thread": "Thread",
    "length": "Length",
    "thread length": "Thread length",
    "head": "HEAD",
    "grade": "Grade",
    "finish": "Finish",
    "bin": "Drawer",
    "on hand": "Qty on hand",
    "allocated": "Allocated",
    "unit": "unit",
    "pack": "Pack",
    "minimum order": "Minimum order",
    "lead time days": "Lead time (days)",
    "supplier": "Supplier",
    "supplier part": "Supplier part",
    "price": "Price",
    "currency": "Currency",
    "safety stock": "Safety stock",
    "reorder point": "Reorder point",
    "order up to": "Order up to",
}

# part | description | kind | unit | on hand | allocated | pack | min | lead | supplier | price | safety | reorder | up to
OTHERS = """
SP-050  | Spacer 1/2 thick, bore 1/4, aluminium     | spacer | each | 82  | 4 | 4   | 8   | 10 | TARN | 6.40 | 16 | 200 | 320
SP-100  | Spacer 1 thick, bore 1/4, aluminium       | spacer | each | 4   |   | 4   | 8   | 10 | TARN | 7.90 | 8  | 24  | 48
SP-200  | Spacer 2 thick, bore 1/4, aluminium       | spacer | each | 16  |   | 4   | 8   | 10 | TARN | 11.60 | 8 | 8   | 24
SPL-050 | Spacer 1/2 thick, bore 5/16, aluminium    | spacer | each | 44  |   | 4   | 8   | 10 | TARN | 6.90 | 8  | 56  | 112
SPL-100 | Spacer 1 thick, bore 5/16, aluminium      | spacer | each | 26  |   | 4   | 8   | 10 | TARN | 8.40 | 4  | 12  | 32
SPL-200 | Spacer 2 thick, bore 5/16, aluminium      | spacer | each | 10  |   | 4   | 8   | 10 | TARN | 12.20 | 4 | 4   | 16
SPL-025 | Spacer 1/4 thick, bore 5/16, aluminium    | spacer | each | 6   |   | 4   | 8   | 10 | TARN | 5.80 |    |     |
SPM-125 | Spacer 12.5 thick, bore 8.4, aluminium    | spacer | each | 58  |   | 4   | 8   | 10 | TARN | 6.60 | 6  | 32  | 64
SPM-250 | Spacer 25 thick, bore 8.4, aluminium      | spacer | each | 18  |   | 4   | 8   | 10 | TARN | 8.10 | 6  | 8   | 24
SPM-375 | Spacer 37.5 thick, bore 8.4, aluminium    | spacer | each | 8   |   | 4   | 8   | 10 | TARN | 9.90 |    |     |
SPN-125 | Spacer 12.5 thick, bore 6.4, aluminium    | spacer | each | 10  |   | 4   | 4   | 10 | TARN | 6.20 |    | 4   | 8
SPN-250 | Spacer 25 thick, bore 6.4, aluminium      | spacer | each | 8   |   | 4   | 4   | 10 | TARN | 7.60 |    | 4   | 8
CP-02   | Crossbar cover, 0 to 2 steps              | cover  | each | 14  |   | 2   | 2   | 10 | LODE | 11.40 | 4 | 8   | 24
CP-34   | Crossbar cover, 3 to 4 steps              | cover  | each | 34  |   | 2   | 2   | 10 | LODE | 11.90 | 6 | 28  | 60
CP-56   | Crossbar cover, 5 to 6 steps              | cover  | each | 12  |   | 2   | 2   | 10 | LODE | 12.60 | 2 | 6   | 12
CPM-02L | Crossbar end cover, short, left           | cover  | each | 4   |   | 1   |     | 10 | LODE | 9.80 | 1  | 2   | 4
CPM-02R | Crossbar end cover, short, right          | cover  | each | 4   |   | 1   |     | 10 | LODE | 9.80 | 1  | 2   | 4
CPM-35L | Crossbar end cover, long, left            | cover  | each | 9   |   | 1   |     | 10 | LODE | 10.40 | 1 | 4   | 10
CPM-35R | Crossbar end cover, long, right           | cover  | each | 9   |   | 1   |     | 10 | LODE | 10.40 | 1 | 4   | 10
SGS-SL  | Side guard strip, short, left             | cover  | each | 4   |   | 1   |     | 10 | LODE | 7.20 | 1  | 3   | 8
SGS-SR  | Side guard strip, short, right            | cover  | each | 4   |   | 1   |     | 10 | LODE | 7.20 | 1  | 3   | 8
SGS-LL  | Side guard strip, long, left              | cover  | each | 5   |   | 1   |     | 10 | LODE | 7.80 | 1  | 4   | 10
SGS-LR  | Side guard strip, long, right             | cover  | each | 5   |   | 1   |     | 10 | LODE | 7.80 | 1  | 4   | 10
PAN-15  | Seat pan, 14 to 15 1/2                    | seat   | each | 2   |   | 1   |     | 15 | LODE | 96.50 | 1  |     |
PAN-17  | Seat pan, 16 to 17 1/2                    | seat   | each | 3   |   | 1   |     | 15 | LODE | 99.00 | 1  |     |
PAN-20  | Seat pan, 18 to 20                        | seat   | each | 2   |   | 1   |     | 15 | LODE | 104.80 | 1 |     |
BASE-15 | Seat base, short                          | seat   | each | 1   |   | 1   |     | 15 | LODE | 71.90 |    |     |
BASE-17 | Seat base, long                           | seat   | each | 2   |   | 1   |     | 15 | LODE | 74.20 | 1  |     |
SLG-35  | Seat sling 350 to 387.5                   | seat   | each | 4   |   | 1   |     | 10 | OSTW | 58.60 | 1  | 2   | 4
SLG-40  | Seat sling 400 to 437.5                   | seat   | each | 7   |   | 1   |     | 10 | OSTW | 59.40 | 1  | 4   | 8
SLG-45  | Seat sling 450 to 475                     | seat   | each | 5   |   | 1   |     | 10 | OSTW | 60.20 | 1  | 2   | 4
SLG-T15 | Seat sling, tube frame, 15 to 16 1/2      | seat   | each | 3   |   | 1   |     | 10 | OSTW | 57.10 | 1  | 2   | 4
SLG-T17 | Seat sling, tube frame, 17 to 19          | seat   | each | 8   |   | 1   |     | 10 | OSTW | 57.90 | 1  | 4   | 8
BU-15   | Back upholstery, rigid frame, low         | seat   | each | 2   |   | 1   |     | 10 | OSTW | 64.00 | 1  |     |
BU-17   | Back upholstery, rigid frame, middle      | seat   | each | 3   |   | 1   |     | 10 | OSTW | 65.50 | 1  |     |
BU-20   | Back upholstery, rigid frame, high        | seat   | each | 2   |   | 1   |     | 10 | OSTW | 67.00 | 1  |     |
BU-F40  | Back upholstery, folding frame, low       | seat   | each | 3   |   | 1   |     | 10 | OSTW | 52.00 |    | 1   | 3
BU-F45  | Back upholstery, folding frame, high      | seat   | each | 2   |   | 1   |     | 10 | OSTW | 54.00 |    | 1   | 3
BU-M35  | Back upholstery, 350 to 387.5             | seat   | each | 4   |   | 1   |     | 10 | OSTW | 61.00 | 1  | 2   | 4
BU-M40  | Back upholstery, 400 to 437.5             | seat   | each | 7   |   | 1   |     | 10 | OSTW | 62.00 | 1  | 4   | 8
BU-M45  | Back upholstery, 450 to 475               | seat   | each | 5   |   | 1   |     | 10 | OSTW | 63.00 | 1  | 2   | 4
BU-T15  | Back upholstery, tube frame, 15 to 16 1/2 | seat   | each | 3   |   | 1   |     | 10 | OSTW | 59.00 | 1  | 2   | 4
BU-T17  | Back upholstery, tube frame, 17 to 19     | seat   | each | 8   |   | 1   |     | 10 | OSTW | 60.00 | 1  | 4   | 8
BU-W15  | Back upholstery, tilt frame, 14 to 15 1/2 | seat   | each | 4   |   | 1   |     | 10 | OSTW | 78.00 | 1  | 2   | 4
BU-W17  | Back upholstery, tilt frame, 16 to 17 1/2 | seat   | each | 10  |   | 1   |     | 10 | OSTW | 79.50 | 1  | 5   | 12
BU-W20  | Back upholstery, tilt frame, 18 to 20     | seat   | each | 11  |   | 1   |     | 10 | OSTW | 82.00 | 1  | 5   | 12
PB-15   | Push bar, 14 to 16                        | frame  | each | 2   |   | 1   |     | 10 | TARN | 48.00 |    | 1   | 3
PB-17   | Push bar, 16 1/2 to 18                    | frame  | each | 7   |   | 1   |     | 10 | TARN | 49.50 | 1  | 3   | 6
PB-19   | Push bar, 18 1/2 to 20                    | frame  | each | 2   |   | 1   |     | 10 | TARN | 52.00 |    | 1   | 2
AXT-15  | Axle tube, 14 to 16                       | frame  | each | 1   |   | 1   |     | 10 | TARN | 66.00 |    | 1   | 2
AXT-17  | Axle tube, 16 1/2 to 18                   | frame  | each | 5   |   | 1   |     | 10 | TARN | 68.50 | 1  | 2   | 5
AXT-19  | Axle tube, 18 1/2 to 20                   | frame  | each | 2   |   | 1   |     | 10 | TARN | 71.00 |    | 1   | 2
AXT-M35 | Axle tube, 350 to 387.5                   | frame  | each | 1   |   | 1   |     | 10 | TARN | 64.00 |    |     |
AXT-M40 | Axle tube, 400 to 437.5                   | frame  | each | 1   |   | 1   |     | 10 | TARN | 65.00 |    | 1   | 2
AXT-M45 | Axle tube, 450 to 475                     | frame  | each | 1   |   | 1   |     | 10 | TARN | 67.00 |    |     |
TL-MED  | Thread locker, medium, tube of 10 mL      | liquid | mL   | 46 mL |  | 10  | 20  | 3  | OSTW | 0.72 | 10 | 20  | 60
TL-HIGH | Thread locker, high, tube of 10 mL        | liquid | mL   | 7.5 |   | 10  | 10  | 3  | OSTW | 0.88 |    |     |
GR-LI   | Bearing grease, tub of 400 g              | liquid | g    | 610 |   | 400 |     | 3  | OSTW | 0.02 | 100 |    |
NUT-LK-14  | Lock nut 1/4-20, nylon insert          | nut    | each | 188 |   | 100 | 100 | 5  | BRAC | 0.05 | 40 | 160 | 400
NUT-LK-516 | Lock nut 5/16-18, nylon insert         | nut    | each | 1 gross | | 100 | 100 | 5  | BRAC | 0.07 | 40 | 60 | 200
NUT-LK-M5  | Lock nut M5                            | nut    | each | 130 |   | 100 | 100 | 5  | BRAC | 0.04 |    |     |
NUT-LK-M6  | Lock nut M6                            | nut    | each | 212 |   | 100 | 100 | 5  | BRAC | 0.04 | 40 | 60  | 200
NUT-LK-M8  | Lock nut M8                            | nut    | each | 95  |   | 100 | 100 | 5  | BRAC | 0.06 | 40 | 60  | 200
NUT-14     | Plain nut 1/4-20                       | nut    | each | 160 |   | 100 | 100 | 5  | BRAC | 0.03 |    |     |
NUT-M6     | Plain nut M6                           | nut    | each | 180 |   | 100 | 100 | 5  | BRAC | 0.03 |    |     |
NUT-BAR-14 | Barrel nut 1/4-20                      | nut    | each | 40  |   | 25  | 25  | 9  | QUIL | 0.62 |    |     |
NUT-BAR-M6 | Barrel nut M6                          | nut    | each | 26  |   | 25  | 25  | 9  | QUIL | 0.60 |    |     |
00417   | Washer 5/16, plain, zinc                  | washer | pack | 5   |   | 100 | 100 | 5  | BRAC | 0.02 | 50 | 100 | 300
00418   | Washer 1/4, plain, zinc                   | washer | pack | 9   |   | 100 | 100 | 5  | BRAC | 0.02 | 50 | 100 | 300
00422   | Washer 5/16, spring                       | washer | pack | 2   |   | 100 | 100 | 5  | BRAC | 0.02 |    |     |
WSH-M5  | Washer M5, plain                          | washer | each | 240 |   | 100 | 100 | 5  | BRAC | 0.01 |    |     |
WSH-M6  | Washer M6, plain                          | washer | each | 310 |   | 100 | 100 | 5  | BRAC | 0.01 | 50 | 100 | 300
WSH-M8  | Washer M8, plain                          | washer | each | 170 |   | 100 | 100 | 5  | BRAC | 0.02 | 50 | 100 | 300
WSH-NY  | Washer, nylon, bore 6.4                   | washer | each | 96  |   | 50  | 50  | 5  | LODE | 0.04 |    |     |
1E5     | Handle plug, rubber                       | plug   | each | 21  |   | 10  | 10  | 6  | LODE | 0.35 | 6  | 10  | 30
2E1     | Handle plug, rubber, large                | plug   | each | 9   |   | 10  | 10  | 6  | LODE | 0.41 |    |     |
TIE-200 | Cable tie 200, black                      | sundry | each | 2 gross | | 100 | 100 | 3 | OSTW | 0.02 | 50 | 100 | 300
TIE-300 | Cable tie 300, black                      | sundry | each | 140 |   | 100 | 100 | 3  | OSTW | 0.03 |    |     |
TAPE-25 | Edge tape, 25 wide                        | sundry | m    | 12.5 |  | 10  | 10  | 3  | OSTW | 0.44 |    |     |
HOSE-8  | Brake hose, bore 8                        | sundry | ft   | 30 ft |  | 10  | 10  | 3  | OSTW | 0.61 |    |     |
RVT-48  | Blind rivet 4.8 x 12                      | rivet  | each | 3 gross | | 144 | 144 | 5 | QUIL | 0.03 |    |     |
RVT-40  | Blind rivet 4.0 x 10                      | rivet  | each | 12 dozen | | 144 | 144 | 5 | QUIL | 0.03 |   |     |
CAS-5   | Castor wheel 5, solid                     | wheel  | each | 12  | 2 | 2   | 2   | 10 | TARN | 9.80 | 4  | 6   | 12
CAS-6   | Castor wheel 6, solid                     | wheel  | each | 8   |   | 2   | 2   | 10 | TARN | 10.40 | 4 | 6   | 12
CAS-8   | Castor wheel 8, air                       | wheel  | each | 6   |   | 2   | 2   | 10 | TARN | 14.90 | 2 | 4   | 8
FRK-5   | Castor fork for 5                         | wheel  | each | 5   |   | 2   | 2   | 15 | TARN | 22.10 | 2 |     |
FRK-8   | Castor fork for 8                         | wheel  | each | 3   |   | 2   | 2   | 15 | TARN | 24.60 | 2 |     |
BRG-608 | Bearing, bore 8                           | wheel  | each | 36  | 4 | 10  | 10  | 5  | QUIL | 1.15 | 8  | 16  | 40
BRG-R8  | Bearing, bore 1/2                         | wheel  | each | 22  |   | 10  | 10  | 5  | QUIL | 1.95 | 8  | 16  | 40
AXL-12  | Quick release axle, 12 dia                | wheel  | each | 6   |   | 1   |     | 15 | TARN | 19.50 | 2 | 4   | 8
AXL-12L | Quick release axle, 12 dia, long          | wheel  | each | 4   |   | 1   |     | 15 | TARN | 21.00 | 2 | 2   | 6
TYR-24  | Tyre 24, grey                             | wheel  | each | 9   |   | 2   | 2   | 7  | TARN | 12.30 | 4 | 6   | 12
TUB-24  | Inner tube 24                             | wheel  | each | 14  |   | 5   | 5   | 7  | TARN | 3.10 | 6  | 8   | 20
RIM-24  | Push rim 24, coated                       | wheel  | each | 3   |   | 2   | 2   | 15 | TARN | 33.00 |   |     |
BRK-L   | Brake, left                               | brake  | each | 5   |   | 1   |     | 12 | TARN | 16.40 | 2 | 3   | 6
BRK-R   | Brake, right                              | brake  | each | 4   |   | 1   |     | 12 | TARN | 16.40 | 2 | 3   | 6
BRK-TIP | Brake tip, rubber                         | brake  | each | 18  |   | 10  | 10  | 6  | LODE | 0.55 |    |     |
ARM-PAD | Arm pad, full                             | arm    | each | 11  | 2 | 2   | 2   | 8  | OSTW | 7.90 | 4  | 6   | 12
ARM-DSK | Arm pad, desk                             | arm    | each | 8   |   | 2   | 2   | 8  | OSTW | 6.80 | 4  | 6   | 12
ARM-TUB | Arm tube, plain                           | arm    | each | 4   |   | 1   |     | 15 | TARN | 13.70 |   |     |
FTP-L   | Footplate, left                           | foot   | each | 3   |   | 1   |     | 15 | LODE | 15.20 | 1 | 2   | 4
FTP-R   | Footplate, right                          | foot   | each | 4   |   | 1   |     | 15 | LODE | 15.20 | 1 | 2   | 4
FTP-STR | Heel strap                                | foot   | each | 12  |   | 5   | 5   | 6  | OSTW | 2.30 | 3  | 5   | 15
BLT-PEL | Pelvic belt                               | belt   | each | 7   | 1 | 1   |     | 6  | OSTW | 17.80 | 2 | 3   | 8
BLT-CLF | Calf strap                                | belt   | each | 6   |   | 1   |     | 6  | OSTW | 6.20 | 2  | 3   | 8
ANT-L   | Anti-tipper, left                         | frame  | each | 3   |   | 1   |     | 12 | TARN | 14.00 | 1 | 2   | 4
ANT-R   | Anti-tipper, right                        | frame  | each | 3   |   | 1   |     | 12 | TARN | 14.00 | 1 | 2   | 4
PLG-78  | Tube plug 7/8                             | plug   | each | 64  |   | 50  | 50  | 6  | LODE | 0.09 |    |     |
PLG-1   | Tube plug 1                               | plug   | each | 41  |   | 50  | 50  | 6  | LODE | 0.10 |    |     |
PLG-25  | Tube plug 25                              | plug   | each | 33  |   | 50  | 50  | 6  | LODE | 0.10 |    |     |
GRP-22  | Push handle grip 22                       | grip   | each | 16  |   | 10  | 10  | 6  | LODE | 1.45 | 4  | 8   | 20
CLP-22  | Tube clip 22                              | sundry | each | 27  |   | 25  | 25  | 6  | LODE | 0.31 |    |     |
LBL-SER | Service label                             | sundry | each | 380 |   | 500 |     | 3  | OSTW | 0.01 |    |     |
"""

# Rows with a fault, in parts that no job of the demonstration needs. The same columns as above; what is
# wrong stands in ``STOCK_FAULTS``.
FAULTY = """
TAPE-40 | Edge tape, 40 wide                        | sundry | blips | 12 |  | 10  | 10  | 3  | OSTW | 0.52 |    |     |
CLP-25  | Tube clip 25                              | sundry | each | #N/A |  | 25  | 25  | 6  | LODE | 0.33 |    |     |
PLG-30  | Tube plug 30                              | plug   | each | =12+21 | | 50 | 50  | 6  | LODE | 0.11 |    |     |
LBL-INS | Inspection label                          | sundry | each |     |   | 500 |     | 3  | OSTW | 0.01 |    |     |
GRP-25  | Push handle grip 25                       | grip   | each | about 20 | | 10 | 10 | 6  | LODE | 1.50 |   |     |
FTP-ANG | Footplate, angle adjustable               | foot   | each | -1  |   | 1   |     | 15 | LODE | 28.40 |  |     |
ARM-SHT | Arm tube, short                           | arm    | each | 4   | 6 | 1   |     | 15 | TARN | 13.10 |  |     |
NUT-BAR-516 | Barrel nut 5/16-18                    | nut    | each | 31  |   | 25  | 25  | 9  | QUIL | 0.70 |    |     |
BRG-R10 | Bearing, bore 5/8                         | wheel  | each | 12  |   | 10  | 10  | 5  | QUIL | 2.30 |    |     |
MIX-1   | SHCS 1/4 x 2, mixed tray                  | bolt   | each | 37  |   |     |     |    |      |      |    |     |
"""

# part | description | thread | length | head | grade
FAULTY_BOLTS = """
B14-038   | Socket cap screw, black oxide      | 1/4-20 UNC  | 8 March | socket cap | ASTM A574
SS516-200 | SHCS 5/16-18 x 2-1/2 18-8          | 5/16-18 UNC | 2 in    | socket cap | 18-8
BM6F-30   | Socket cap screw, fine             | M6x0.9      | 30 mm   | socket cap | 8.8
"""

# A second drawer of a part: part | drawer | on hand | allocated | unit | lead time. Other columns are blank.
SECOND_BINS = """
B14-250     | D-31 | 6  |   | each |
B14-300     | D-31 | 8  | 4 | each |
SP-050      | D-40 | 12 |   | each |
HM8-80      | D-32 | 15 |   | each |
BM8-90      | D-32 | 9  |   | each |
WSH-M6      | D-33 | 45 |   | each |
NUT-LK-14   | D-33 | 12 |   | each |
BRG-608     | D-34 | 6  |   | each |
TUB-24      | D-35 | 3  |   | each |
GRP-22      | D-35 | 4  |   | each |
NUT-BAR-516 | D-36 | 1  |   | pack |
BRG-R10     | D-34 | 5  |   | each | 9
"""

# Below everything else, as the clerk left it: part | description | kind | thread | length | head | on hand | unit.
BELOW = """
--- counted again on Monday --- |           |       |            |           |            |   |
B14-15  | Socket cap screw, black oxide | bolt  | 1/4-20 UNC | 1 January | socket cap | 9 | each
BRG-6O8 | Bearing, bore 8               | wheel |            |           |            | 3 | each
"""

# order | part | quantity | due
ON_ORDER = """
PO-0871 | CAS-5       | 4   | 2026-11-20
PO-0876 | B14-250     | 12  | Wed
PO-0876 | SP-050      | 20  | Wed
PO-0877 | BM8-70     | 50  | Thu
PO-0878 | RIM-24      | 2   |
PO-0879 | B14-520     | 50  | Fri
PO-0880 | PAN-17      | 1   | Thu
PO-0881 | TL-MED      | 20 mL | Fri
PO-0882 | 00422       | 1   | Fri
PO-0883 | TYR-24      | 4   | Wed2
PO-0884 | B14-300     | 50  | Wed2
PO-0886 | SP-050      | 240 | Wed2
PO-0887 | CP-34       | 40  | Wed2
PO-0887 | SP-100      | 40  | Wed2
PO-0888 | SPL-050     | 60  | Mon2
PO-0885 | SLG-T17     | 2   | Mon2
"""

# supplier | name | minimum order value | delivery charge | free delivery from | email
SUPPLIERS = """
QUIL | Quillmere Fixings      | 50  | 9.50 | 150 | orders@quillmere.example
TARN | Tarnock Wheel and Tube | 100 | 14   | 250 | sales@tarnock.example
LODE | Lodevale Mouldings     | 75  | 12   | 200 | desk@lodevale.example
BRAC | Brackenhythe Bolt Loft | 40  | 7.90 | 120 | loft@brackenhythe.example
OSTW | Ostwickle Sundries     |     | 5    |     | post@ostwickle.example
"""

# part | from quantity | price
PRICE_BREAKS = """
B14-250 | 100 | 0.21
B14-250 | 500 | 0.18
B14-300 | 100 | 0.23
B14-300 | 500 | 0.20
B516-300 | 100 | 0.33
SP-050 | 100 | 5.90
SP-050 | 240 | 5.40
SPL-050 | 80 | 6.30
HM8-80 | 200 | 0.19
BM8-90 | 200 | 0.36
NUT-LK-14 | 500 | 0.04
TIE-200 | 1000 | 0.015
"""


OTHER_COLUMNS = (
    "part", "description", "kind", "unit", "on hand", "allocated", "pack", "minimum order", "lead time days",
    "supplier", "price", "safety stock", "reorder point", "order up to",
)  # fmt: skip


def other_rows(text: str, luck: random.Random) -> list[Row]:
    """Rows of a table of parts that are no bolts."""
    rows = []
    for cells in table(text):
        row = typed(OTHER_COLUMNS, cells)
        row["bin"] = f"{'DEF'[luck.randint(0, 2)]}-{luck.randint(1, 40):02d}"
        row["supplier part"] = supplier_part(row["supplier"], luck) if row["supplier"] else None
        rows.append(row)
    return rows


def faulty_bolt_rows() -> list[Row]:
    rows = []
    for part, description, thread, length, head, grade in table(FAULTY_BOLTS):
        row: Row = {"part": part, "description": description, "thread": thread, "head": head, "grade": grade}
        # What a spreadsheet program makes of 3/8 typed into a cell that is not formatted as text.
        row["length"] = date(2026, 3, 8) if length == "8 March" else length
        rows.append(row | {"kind": "bolt", "on hand": 14, "unit": "each", "bin": "A-09"})
    return rows


def second_bin_rows() -> list[Row]:
    heads = ("part", "bin", "on hand", "allocated", "unit", "lead time days")
    return [typed(heads, cells) for cells in table(SECOND_BINS)]


def rows_below(above: list[Row | None]) -> list[Row]:
    """What stands below the stock, and at last the sum of the counts, as a spreadsheet adds them up."""
    heads = ("part", "description", "kind", "thread", "length", "head", "on hand", "unit")
    rows: list[Row] = []
    for cells in table(BELOW):
        row = typed(heads, cells)
        # What a spreadsheet program makes of 1-1/2 typed into a cell that is not formatted as text.
        row["length"] = date(2002, 1, 1) if row["length"] == "1 January" else row["length"]
        rows.append(row)
    counts = (row.get("on hand") for row in [*above, *rows] if row is not None)
    total = sum(count for count in counts if isinstance(count, int | float))
    return [*rows, {"part": "Total", "on hand": round(total, 1)}]


def untidied(rows: list[Row], luck: random.Random) -> list[Row]:
    """The small untidiness of a sheet kept by hand: counts typed as text, blanks before and after."""
    for row in rows:
        chance = luck.random()
        if chance < 0.08 and isinstance(row["on hand"], int):
            row["on hand"] = f"{row['on hand']} "
        elif chance < 0.14:
            row["part"] = f"{row['part']} "
        elif chance < 0.20 and row.get("description"):
            row["description"] = row["description"].replace(", ", f",{NBSP}", 1)
        elif chance < 0.24 and row.get("unit") == "each":
            row["unit"] = " Each"
    return rows


def stock_rows() -> list[Row | None]:
    """The stock sheet, top to bottom; None is a blank row between two lots."""
    luck = random.Random(SEED)
    bolts, others = bolt_rows(luck), other_rows(OTHERS, luck)
    faulty = [*faulty_bolt_rows(), *other_rows(FAULTY, luck)]
    rows = [*untidied(bolts, luck), None, *untidied(others, luck), None, *faulty, *second_bin_rows()]
    return [*rows, None, *rows_below(rows)]


def order_rows() -> list[list[Any]]:
    return [[order, part, number(quantity), day(due)] for order, part, quantity, due in table(ON_ORDER)]
