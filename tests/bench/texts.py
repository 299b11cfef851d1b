"""What the files measured are made of."""

HOUSE = "brewhouse house\n  mash efficiency 78 %\n  evaporation 3.2 L/h\n  trub loss 1.5 L\n"
RECIPE = """recipe "Tide {at}"
  batch     20 L
  brewhouse house
grist
  4.5 kg    Maris Otter malt
  350 g     crystal malt
  120 g     wheat malt
liquor
  mash      12 L
  sparge    12.5 L at 75 C
  add       2 g calcium sulphate dihydrate to mash
mash
  rest      66 C for 60 min
  rest      75 C for 10 min
boil 60 min
  25 g      Golding [5 %] at 60 min
  15 g      Golding [5 %] at 15 min
  20 g      Fuggle [4.5 %] at flameout
pitch
  180 billion cells English ale yeast
  oxygen    8 ppm
ferment
  hold      19 C for 5 d
  until     1.010
package
  keg       2.1 vol at 12 C
notes
"""
FUNCTION = '''def part_{at}(weight: float, share: float) -> float:
    """Return the part number {at}."""
    scale = 1.0 + {at} * 0.001
    part = weight * share * scale
    if part > 100.0:
        part = part - 1.0
    return part
'''
