"""Kinetics against scipy's integrator of differential equations.

The equations and their published constants are written here anew; nothing but the cases is the project's. The
heat capacity of a mash is given, so that only its cooling is compared.
"""

from math import exp, log

import scipy
from scipy.integrate import solve_ivp

from compare import Account

INTEGRATOR = "the integrator is asked for 1e-11"
account = Account({
    "precursor": (1e-8, "relative", INTEGRATOR),
    "stripping": (1e-8, "absolute", INTEGRATOR),
    "isomerisation": (1e-8, "relative", INTEGRATOR),
    "cooling stand": (1e-6, "relative", "the project sums by Simpson's rule with 400 steps"),
    "mash cooling": (1e-8, "relative", INTEGRATOR),
})


def integrate(slopes, start, minutes):
    """End values of an initial value problem in minutes."""
    if minutes == 0:
        return start
    found = solve_ivp(slopes, (0.0, minutes), start, method="DOP853", rtol=1e-11, atol=1e-14)
    assert found.success, found.message
    return [values[-1] for values in found.y]


def isomerisation(celsius):
    """Malowicki and Shellhammer 2005, per minute."""
    return 7.9e11 * exp(-11858 / (celsius + 273.15))


def degradation(celsius):
    return 4.1e12 * exp(-12994 / (celsius + 273.15))


for kind, given, gyle in account.cases():
    if kind == "precursor":
        left = 1.0
        for minutes, celsius in given["stretches"]:
            # Half in 35 min at 100 °C, twice as long each 6 °C cooler.
            rate = log(2) / 35 * 2 ** ((celsius - 100) / 6)
            (left,) = integrate(lambda _, y: [-rate * y[0]], [left], minutes)
        account.check(kind, gyle["left"], left)
    elif kind == "stripping":
        (left,) = integrate(lambda _, y: [-0.18 * y[0]], [1.0], given["minutes"])
        account.check(kind, gyle["left"], left)
    elif kind == "isomerisation":
        k1, k2 = isomerisation(given["celsius"]), degradation(given["celsius"])
        _, iso = integrate(lambda _, y: [-k1 * y[0], k1 * y[0] - k2 * y[1]], [1.0, 0.0], given["minutes"])
        account.check(kind, gyle["share"], iso)
    elif kind == "cooling stand":
        boil = isomerisation(100)
        around, tau = given["around"], given["tau"]

        def slopes(_, y):
            return [-(y[0] - around) / tau, isomerisation(y[0]) / boil]

        _, minutes = integrate(slopes, [given["from"], 0.0], given["minutes"])
        account.check(kind, gyle["minutes"], minutes)
    elif kind == "mash cooling":
        rate = given["loss"] / 1000 * 60 / given["kj_per_kelvin"]
        around = given["around"]
        (celsius,) = integrate(lambda _, y: [-rate * (y[0] - around)], [given["from"]], given["minutes"])
        account.check(kind, gyle["celsius"], celsius)

account.close(f"scipy {scipy.__version__}")
