"""Liquor against PHREEQC with its own database phreeqc.dat, ion pairs and all, at 25 °C.

A litre is taken as a kilogram of water, as the project does. Lactate and citrate are not in the database:
they are added with the same constants and no pairs, so for these two only the method is compared.
"""

from phreeqpython import PhreeqPython

from compare import Account

ADDED = """
SOLUTION_MASTER_SPECIES
    Lac Lac- 0 89.07 89.07
    Cit Cit-3 0 189.1 189.1
SOLUTION_SPECIES
    Lac- = Lac-
        log_k 0
    Lac- + H+ = HLac
        log_k 3.86
    Cit-3 = Cit-3
        log_k 0
    Cit-3 + H+ = HCit-2
        log_k 6.396
    Cit-3 + 2H+ = H2Cit-
        log_k 11.157
    Cit-3 + 3H+ = H3Cit
        log_k 14.285
END
"""

FORMULA = {
    "Lactic": "HLac 1",
    "Phosphoric": "H3PO4 1",
    "Hydrochloric": "HCl 1",
    "Sulfuric": "H2SO4 1",
    "Citric": "H3Cit 1",
    # Salts with their molar mass, g/mol, counted here and not taken from the project.
    "Gypsum": ("CaSO4 1", 172.164),
    "CalciumChlorideDihydrate": ("CaCl2 1", 147.008),
    "EpsomSalt": ("MgSO4 1", 246.466),
    "TableSalt": ("NaCl 1", 58.440),
    "BakingSoda": ("NaHCO3 1", 84.006),
    "WashingSoda": ("Na2CO3 1", 105.988),
    "PotassiumBicarbonate": ("KHCO3 1", 100.114),
}

engine = PhreeqPython(database="phreeqc.dat").ip
engine.run_string(ADDED)


def solution(number, water):
    return f"""
SOLUTION {number}
    temp 25
    units mg/kgw
    pH {water['pH']!r}
    Ca {water['Ca']!r}
    Mg {water['Mg']!r}
    Na {water['Na']!r}
    K {water['K']!r}
    Cl {water['Cl']!r}
    S(6) {water['SO4']!r} as SO4
    N(5) {water['NO3']!r} as NO3
    Alkalinity {water['alkalinity']!r} meq/kgw
"""


ASKED = {
    "pH": "-LA(\"H+\")",
    "alkalinity": "ALK*1000",
    "bicarbonate": "(MOL(\"HCO3-\")+MOL(\"CaHCO3+\")+MOL(\"MgHCO3+\")+MOL(\"NaHCO3\"))*1000",
    "total": "TOT(\"C(4)\")*1000",
    "acid": "MOL(\"CO2\")*1000",
    "conductivity": "SC",
    "Ca": "TOT(\"Ca\")*1000",
}


def run(text):
    """Runs input and returns the quantities of its last step."""
    punch = "\n".join(f"    {10 * i} PUNCH {ask}" for i, ask in enumerate(ASKED.values(), 1))
    engine.run_string(f"""
SELECTED_OUTPUT 1
    -reset false
USER_PUNCH 1
    -headings {' '.join(ASKED)}
    -start
{punch}
    -end
{text}
END
""")
    rows = engine.get_selected_output_array()
    return dict(zip(rows[0], rows[-1]))


def reaction(formula, mmol):
    return f"REACTION 1\n    {formula}\n    {mmol!r} millimoles\n"


AIR = "EQUILIBRIUM_PHASES 1\n    CO2(g) -3.382 10\n"

# Davies activities here, those of Truesdell and Jones there: that is what deviates, and most where the
# charge is high (citrate) or the salt much.
account = Account({
    "closed": (0.02, "absolute", "a pH meter reads 0.02"),
    "open": (0.05, "absolute", "without its own carbonate a liquor has half the buffer"),
    "salts": (0.02, "absolute", "a pH meter reads 0.02"),
    "blends": (0.02, "absolute", "a pH meter reads 0.02"),
    "bicarbonate": (0.005, "relative", "a titration repeats to 1 %"),
    "total": (0.005, "relative", "a titration repeats to 1 %"),
    "acid": (0.005, "relative", "a titration repeats to 1 %"),
    "conductivity": (0.12, "relative", "the estimate of Standard Methods, where a report is believed within 10 %"),
    "titration": (0.002, "absolute", "mEq/L; a tenth of a drop"),
    "gypsum": (0.03, "relative", "another form of activity in a saturated solution"),
    "chalk": (0.02, "relative", "another form of activity"),
})

for kind, given, gyle in account.cases():
    if kind in ("closed", "open"):
        text = solution(1, given["water"]) + reaction(FORMULA[given["acid"]], given["mmol"])
        found = run(text + (AIR if kind == "open" else ""))
        account.check(kind, gyle["pH"], found["pH"])
    elif kind == "salts":
        formula, mass = FORMULA[given["salt"]]
        found = run(solution(1, given["water"]) + reaction(formula, given["grams"] / mass * 1000))
        account.check(kind, gyle["pH"], found["pH"])
    elif kind == "blends":
        share = given["share"]
        both = "".join(solution(n, water) for n, water in enumerate(given["waters"], 1))
        found = run(both + f"END\nMIX 1\n    1 {share!r}\n    2 {1 - share!r}\n")
        account.check(kind, gyle["pH"], found["pH"])
    elif kind == "species":
        found = run(solution(1, given["water"]))
        account.check("bicarbonate", gyle["bicarbonate"], found["bicarbonate"] * 61.016)
        for quantity in ("total", "acid", "conductivity"):
            account.check(quantity, gyle[quantity], found[quantity])
    elif kind == "titration":
        # Hydrochloric acid until the end point: the amount is what a laboratory reads.
        text = solution(1, given["water"]) + f"""
PHASES
End_point
    H+ = H+
    log_k 0
EQUILIBRIUM_PHASES 1
    End_point {-given['end']!r} HCl 10
    -force_equality true
"""
        found = run(text)
        account.check(kind, gyle["alkalinity"], given["water"]["alkalinity"] - found["alkalinity"])
    elif kind == "gypsum":
        found = run(f"SOLUTION 1\n    temp {given['celsius']!r}\nEQUILIBRIUM_PHASES 1\n    Gypsum 0 1\n")
        account.check(kind, gyle["mg"], found["Ca"] * 172.164)
    elif kind == "chalk":
        gas = "" if given["log_pressure"] is None else f"    CO2(g) {given['log_pressure']!r} 10\n"
        found = run(f"SOLUTION 1\n    temp 25\nEQUILIBRIUM_PHASES 1\n    Calcite 0 1\n{gas}")
        account.check(kind, gyle["mg"], found["Ca"] * 100.086)

account.close("PHREEQC (phreeqpython 1.6.2, phreeqc.dat)")
