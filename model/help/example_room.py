"""A small room, whole, with every section that a room file can have."""

EXAMPLE_ROOM = """\
bayhand: 1
room: Tern Yard, Room 2

gear:                         # name: its ports; {1-4} stands for four names
  Live {1-4}: mic line        # one port: it bears the gear's name
  Pre {1-4}:
    in:  {is: mic in, ohms: 2400, phantom: 48}
    out: {is: line out, ohms: 60, level: +4 dBu, max: +24 dBu, cable: 3}
  Tape {1-4}:
    through: no               # does not carry its input to its output
    in:  {is: line in, level: +4 dBu, max: +20 dBu}
    out: line out
  Squash:
    in: line in
    out: line out

mics:                         # the locker: what people put on mic lines
  dynamic:   {ohms: 200}
  condenser: {ohms: 150, phantom: 48, draws: 4}  # V, mA
  ribbon:    {ohms: 300, harmed: yes}            # phantom must not reach it

bays:
  - bay: Mic bay
    place: control room       # a cord joins jacks of one place
    columns: 12
    rows:                     # the top row, then the bottom row
      A:
        1-4: Live {1-4}
        5-8: Pre {1-4} out
        9: Squash out
      B:
        1-4: Pre {1-4} in
        5-8: Tape {1-4} in
        9: Squash in
    normals:
      1-4: full
      5-8: half

cross normals:
  - {from: A9, to: B11, kind: half}
ties:
  - {name: Tie 1, from: B11, to: A12, metres: 30}
mults:
  - {name: Mult 1, jacks: "A10-11, B10"}
cords:                        # length in cm: how many the room owns
  30: 10
  60: 10
house patch:
  - Tape 1 in > Squash out with 60 cm
marks:                        # the room's own marks on its panels
  full: white
units: metres                 # or feet: a cord with 2 ft

accepted:                     # findings of check that are meant to be
  - {at: B11, finding: tie-in-one-place, because: its racks stand apart}
priors:                       # the likelier at fault, the higher
  cord: 20
"""
