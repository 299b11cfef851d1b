"""Conversions of units against pint and its own registry."""

import pint

from compare import Account

registry = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)

# What the project's spellings mean; a kilocalorie is the thermochemical one, as pint's calorie is.
UNITS = {
    "g": "gram", "kg": "kilogram", "mg": "milligram", "oz": "ounce", "lb": "pound",
    "L": "liter", "mL": "milliliter", "hL": "hectoliter", "m3": "meter ** 3",
    "ustsp": "teaspoon", "ustbsp": "tablespoon", "usfloz": "fluid_ounce", "uspt": "pint", "usqt": "quart",
    "usgal": "gallon", "usbbl": "beer_barrel",
    "impfloz": "imperial_fluid_ounce", "imppt": "imperial_pint", "impqt": "imperial_quart",
    "impgal": "imperial_gallon", "impbbl": "imperial_barrel",
    "s": "second", "min": "minute", "h": "hour", "d": "day", "week": "week",
    "m": "meter", "ft": "foot", "bar": "bar", "kPa": "kilopascal", "psi": "psi",
    "kJ": "kilojoule", "kcal": "kilocalorie", "W": "watt", "kW": "kilowatt",
}
POINTS = {"C": "degC", "F": "degF"}
STEPS = {"C": "delta_degC", "F": "delta_degF"}

limits = {
    kind: (1e-12, "relative", "exact definitions: only rounding may differ")
    for kind in (
        "mass", "volume", "time", "length", "pressure", "energy", "power", "concentration", "volume by mass",
        "flow", "heating rate", "heat capacity", "energy by volume",
    )
}
limits["temperature"] = (1e-12, "relative", "of the absolute temperature: only rounding may differ")
account = Account(limits)


def ratio(text):
    return " / ".join(f"({(UNITS | STEPS)[part]})" for part in text.split("/"))


def kelvin(value, unit):
    return registry.Quantity(value, POINTS[unit]).to("kelvin").magnitude


for kind, given, gyle in account.cases():
    value, source, to = given["value"], given["from"], given["to"]
    if kind == "temperature":
        # Both sides in kelvin, since a share of a temperature near 0 degrees means nothing.
        found = None if gyle["value"] is None else kelvin(gyle["value"], to)
        account.check(kind, found, kelvin(value, source))
    else:
        library = registry.Quantity(value, ratio(source)).to(ratio(to)).magnitude
        account.check(kind, gyle["value"], library)

account.close(f"pint {pint.__version__}")
