"""The colour of beer against colour-science, with its own tables of illuminants and observers.

The spectrum is written here anew from the published formula. The library sums its own tables each 5 nm from
380 to 780 nm, as the project does; a second comparison sums each nm, for what the steps cost.
"""

import warnings

with warnings.catch_warnings():
    # It speaks of the plots that it cannot draw.
    warnings.simplefilter("ignore")
    import colour
import numpy

from compare import Account

WHERE = {
    "screen": ("D65", "CIE 1931 2 Degree Standard Observer"),
    "laboratory": ("C", "CIE 1964 10 Degree Standard Observer"),
}
account = Account({
    "Lab": (1e-9, "absolute", "the same published tables: only rounding may differ"),
    "Lab by 1 nm": (0.02, "absolute", "what sums in steps of 5 nm cost, a fiftieth of what an eye can see"),
    "sRGB": (1.0, "absolute", "one step of 255, where the rounding falls otherwise"),
})


class Table:
    """Illuminant times observer on a grid."""

    def __init__(self, where, step):
        illuminant, observer = WHERE[where]
        shape = colour.SpectralShape(380, 780, step)
        light = colour.SDS_ILLUMINANTS[illuminant].copy().align(shape).values
        eye = colour.MSDS_CMFS[observer].copy().align(shape).values
        self.wavelengths = shape.wavelengths
        self.weights = light[:, None] * eye
        self.white = self.weights.sum(axis=0) * 100 / self.weights[:, 1].sum()

    def xyz(self, srm, cm):
        from_430 = self.wavelengths - 430
        shape = 0.02465 * numpy.exp(-from_430 / 17.591) + 0.97535 * numpy.exp(-from_430 / 82.122)
        passed = 10 ** (-srm / 12.7 * cm * shape)
        return passed @ self.weights * 100 / self.weights[:, 1].sum()

    def lab(self, srm, cm):
        return colour.XYZ_to_Lab(self.xyz(srm, cm) / 100, colour.XYZ_to_xy(self.white / 100))


tables = {(where, step): Table(where, step) for where in WHERE for step in (5, 1)}

for kind, given, gyle in account.cases():
    beer = given["srm"], given["cm"]
    for quantity, step in (("Lab", 5), ("Lab by 1 nm", 1)):
        for mine, other in zip(gyle["lab"], tables[kind, step].lab(*beer)):
            account.check(quantity, mine, float(other))
    xyz = tables["screen", 5].xyz(*beer) / 100
    linear = numpy.clip(colour.XYZ_to_sRGB(xyz, apply_cctf_encoding=False), 0, 1)
    for mine, other in zip(gyle["srgb"], colour.models.eotf_inverse_sRGB(linear) * 255):
        account.check("sRGB", mine, float(round(other)))

account.close(f"colour-science {colour.__version__}")
