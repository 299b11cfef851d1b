"""The salt solver against scipy's non-negative and bounded least squares.

The columns are made here from the atomic weights of IUPAC 2021, not taken from the project. Its doses are put
back into these columns: the objective is theirs, and no dose may be negative.
"""

import numpy
import scipy
from scipy.optimize import lsq_linear, nnls

from compare import Account

H, C, O, NA, MG, S, CL, K, CA = 1.008, 12.011, 15.999, 22.98976928, 24.305, 32.06, 35.45, 39.0983, 40.078
WATER = 2 * H + O
SULFATE = S + 4 * O
BICARBONATE = H + C + 3 * O

# Ion: key of the water, molar mass, charge without sign.
IONS = {
    "Calcium": ("Ca", CA, 2),
    "Magnesium": ("Mg", MG, 2),
    "Sodium": ("Na", NA, 1),
    "Chloride": ("Cl", CL, 1),
    "Sulfate": ("SO4", SULFATE, 2),
    "Bicarbonate": ("alkalinity", BICARBONATE, 1),
}

# Molar mass, and mEq of each ion by mmol.
SALTS = {
    "Gypsum": (CA + SULFATE + 2 * WATER, {"Calcium": 2, "Sulfate": 2}),
    "CalciumChlorideDihydrate": (CA + 2 * CL + 2 * WATER, {"Calcium": 2, "Chloride": 2}),
    "EpsomSalt": (MG + SULFATE + 7 * WATER, {"Magnesium": 2, "Sulfate": 2}),
    "TableSalt": (NA + CL, {"Sodium": 1, "Chloride": 1}),
    "BakingSoda": (NA + BICARBONATE, {"Sodium": 1, "Bicarbonate": 1}),
    "Chalk": (CA + C + 3 * O, {"Calcium": 2, "Bicarbonate": 2}),
    "SlakedLime": (CA + 2 * (O + H), {"Calcium": 2, "Bicarbonate": 2}),
    "MagnesiumChlorideHexahydrate": (MG + 2 * CL + 6 * WATER, {"Magnesium": 2, "Chloride": 2}),
    "PotassiumChloride": (K + CL, {"Chloride": 1}),
}

SAME = "both solve the same convex problem exactly, in the unit of the fit over the size of the profile"
account = Account({
    "objective": (1e-9, "absolute", SAME),
    "objective with dilution": (1e-9, "absolute", SAME),
    "objective of the doses": (1e-9, "absolute", "the doses reported give the residual reported"),
    "doses below nothing": (0.0, "absolute", "salts cannot be taken out"),
})


def row(given, meq):
    """A vector of mEq/L in the unit and with the weights of the fit."""
    by_mass = given["weighting"] == "Mass"
    return numpy.array([
        weight * meq[ion] * (IONS[ion][1] / IONS[ion][2] if by_mass else 1.0) for ion, weight in given["fit"]
    ])


def of_water(given, water):
    meq = {}
    for ion, (key, mass, charge) in IONS.items():
        meq[ion] = water[key] if key == "alkalinity" else water[key] / mass * charge
    return row(given, meq)


def of_gram(given, salt):
    mass, brings = SALTS[salt]
    return row(given, {ion: brings.get(ion, 0) / mass * 1000 for ion in IONS})


for kind, given, gyle in account.cases():
    source, target = of_water(given, given["source"]), of_water(given, given["target"])
    columns = [of_gram(given, salt) for salt in given["salts"]]
    size = numpy.linalg.norm(target)
    if gyle["norm"] is None:
        account.check("objective", None, 0.0)
        continue
    if kind == "undiluted":
        base = source
        if columns:
            _, least = nnls(numpy.column_stack(columns), target - base)
        else:
            least = numpy.linalg.norm(target - base)
        account.check("objective", gyle["norm"] / size, least / size)
    else:
        base = of_water(given, given["dilution"])
        lengths = [numpy.linalg.norm(column) or 1.0 for column in columns]
        scaled = [column / length for column, length in zip(columns, lengths)]
        matrix = numpy.column_stack(scaled + [source - base])
        upper = [numpy.inf] * len(columns) + [1.0]
        found = lsq_linear(matrix, target - base, bounds=(0, upper), method="bvls", tol=1e-15)
        account.check("objective with dilution", gyle["norm"] / size, numpy.sqrt(2 * found.cost) / size)
    treated = base + gyle["share"] * (source - base) if kind == "diluted" else source
    treated = treated + sum((dose * column for dose, column in zip(gyle["grams"], columns)), 0 * target)
    account.check("objective of the doses", gyle["norm"] / size, numpy.linalg.norm(treated - target) / size)
    account.check("doses below nothing", min(gyle["grams"] + [gyle["share"], 1 - gyle["share"], 0.0]), 0.0)

account.close(f"scipy {scipy.__version__}")
