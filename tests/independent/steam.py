"""Density, heat and boiling point of water against IAPWS-95 in CoolProp and IAPWS-97 in iapws.

The project computes density by Kell's polynomial and boiling by the backward equation of IAPWS-97, so
IAPWS-95 is another formulation for both. The pressure of the air by elevation has no library here: the
project's own pressure goes into the library's boiling point.
"""

from CoolProp.CoolProp import PropsSI
from iapws import IAPWS97

from compare import Account

OTHER = "another formulation of the same water: 2e-5 of 998 kg/m3 is 0.02 kg/m3, far below a sight glass"
SAME = "the same formulation: only rounding may differ"

account = Account({
    "density": (2e-5, "relative", OTHER),
    "saturation by IAPWS-95": (2e-5, "relative", "another formulation, of the absolute temperature: 7 mK"),
    "saturation by IAPWS-97": (1e-12, "relative", SAME),
    "boiling point by elevation": (2e-5, "relative", "as for saturation"),
    "specific heat": (2e-4, "relative", "the project draws lines through a table of each 10 °C"),
    "heat of liquor": (5e-4, "relative", "as above; a litre at 20 °C is taken as 0.9982 kg"),
})

for kind, given, gyle in account.cases():
    if kind == "density":
        library = PropsSI("D", "T", given["celsius"] + 273.15, "P", 101325, "Water") / 1000
        account.check("density", gyle["kg"], library)
        continue
    if kind == "heat":
        cold, hot = (IAPWS97(T=given[end] + 273.15, P=0.101325) for end in ("from", "to"))
        account.check("specific heat", gyle["specific"], hot.cp)
        account.check("heat of liquor", gyle["kj"], (hot.h - cold.h) * IAPWS97(T=293.15, P=0.101325).rho / 1000)
        continue
    pascal = (given["bar"] if kind == "saturation" else gyle["bar"]) * 1e5
    kelvin = None if gyle["celsius"] is None else gyle["celsius"] + 273.15
    by_95 = PropsSI("T", "P", pascal, "Q", 0, "Water")
    if kind == "elevation":
        account.check("boiling point by elevation", kelvin, by_95)
    else:
        account.check("saturation by IAPWS-95", kelvin, by_95)
        account.check("saturation by IAPWS-97", kelvin, IAPWS97(P=pascal / 1e6, x=0).T)

account.close("CoolProp 8.0.0 and iapws 1.5.5")
