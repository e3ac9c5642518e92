"""Reference figures for the flame-colour question, by other programs than the one under test.

Usage: python flame_reference.py LINES.csv [OUT.csv]      (OUT defaults to standard output)

Adiabatic temperatures come from Cantera's equilibrium solver, colours from colour-science, the
rest from numpy. Of the project's own data only the atomic line table is read, because the line
figures check the arithmetic done on it. Ran with Python 3.11, cantera 3.2.0, colour-science 0.4.7,
chemicals 1.5.2, numpy 2.4.6, scipy 1.17.1.
"""
import csv
import json
import sys
import warnings

warnings.filterwarnings("ignore")   # colour-science warns that matplotlib is not there; not needed
import cantera as ct
import chemicals
import colour
import numpy as np
from scipy.constants import e as CHARGE, k as BOLTZMANN
from scipy.optimize import minimize_scalar

ROWS = []


def row(id_, quantity, inputs, expected, unit, tolerance, source, note=""):
    ROWS.append([id_, quantity, json.dumps(inputs, sort_keys=True), expected, unit, tolerance, source, note])


# ---- Part A: adiabatic flame temperatures -------------------------------------------------

PRODUCTS = ["CO2", "CO", "H2O", "H2", "OH", "H", "O", "O2", "N2", "NO", "AR"]
FUELS = {  # name: CAS, C, H, O, name in nasa_gas.yaml
    "methanol": ("67-56-1", 1, 4, 1, "CH3OH"),
    "ethanol": ("64-17-5", 2, 6, 1, "C2H5OH"),
    "propan-2-ol": ("67-63-0", 3, 8, 1, "C3H8O,2propanol"),
    "methane": ("74-82-8", 1, 4, 0, "CH4"),
    "propane": ("74-98-6", 3, 8, 0, "C3H8"),
}
AIR = {"O2": 1.0, "N2": 3.76}
ARGON_AIR = {"O2": 0.2095, "N2": 0.7812, "AR": 0.0093}   # dry air without its CO2
T_REF = 298.15


def species_of(path):
    return {s.name.upper(): s for s in ct.Species.list_from_file(path)}


NASA = species_of("nasa_gas.yaml")
GRI = species_of("gri30.yaml")
# The expected values rest on this one: its products are fitted to the Active Thermochemical Tables
# (notes in the file: ATcT 1.122, 2017), while GRI-Mech shares half of its polynomials with nasa_gas.
ATCT = species_of("example_data/ammonia-CO-H2-Alzueta-2023.yaml")


def products(table):
    """The eleven product species only, so that every data set is asked the same thing."""
    return ct.Solution(thermo="ideal-gas", species=[table[n] for n in PRODUCTS])


TABLES = {"atct": ATCT, "gri30": GRI, "nasa_gas": NASA}
GAS = {name: products(table) for name, table in TABLES.items()}
FILES = {"atct": "ammonia-CO-H2-Alzueta-2023.yaml (ATcT 1.122 fits)", "gri30": "gri30.yaml", "nasa_gas": "nasa_gas.yaml"}


def formation(fuel, phase, data):
    """Enthalpy of formation at 298.15 K, J/mol, and where it was read."""
    cas, name = FUELS[fuel][0], FUELS[fuel][4]
    if data == "nasa_gas":
        h = NASA[name.upper()].thermo.h(T_REF) / 1000
        if phase == "gas":
            return h, "nasa_gas.yaml"
        # There is no liquid in the file: take off the heat of vaporisation at 298.15 K (CRC, as below).
        return h - (chemicals.Hfg(cas, method="CRC") - chemicals.Hfl(cas, method="CRC")), \
            "nasa_gas.yaml less CRC Hf(gas) - Hf(liquid)"
    if phase == "gas":
        return chemicals.Hfg(cas, method="ATCT_G"), "ATcT 1.112"
    if "ATCT_L" in chemicals.reaction.Hfl_methods(cas):
        return chemicals.Hfl(cas, method="ATCT_L"), "ATcT 1.112"
    return chemicals.Hfl(cas, method="CRC"), "CRC Handbook"


def crc_cp(fuel, phase):
    """Heat capacity at 298.15 K, J/(mol K): enough for the few kelvin between 25 and 30 Cel."""
    return float(chemicals.heat_capacity.CRC_standard_data.at[FUELS[fuel][0], "Cpg" if phase == "gas" else "Cpl"])


def lower_heat(fuel, phase, data):
    _, c, h, o, _ = FUELS[fuel]
    table = TABLES[data]
    hf = {n: table[n].thermo.h(T_REF) / 1000 for n in ("CO2", "H2O", "O2")}
    return formation(fuel, phase, data)[0] + (c + h / 4 - o / 2) * hf["O2"] - c * hf["CO2"] - h / 2 * hf["H2O"]


def flame(fuel, phase="gas", data="atct", phi=1.0, air=AIR, t=T_REF, p=ct.one_atm, lost=0.0):
    """Temperature (K) of the equilibrium products of 1 mol fuel, at constant pressure."""
    _, c, h, o, _ = FUELS[fuel]
    gas = GAS[data]
    need = (c + h / 4 - o / 2) / phi
    supply = {n: need * x / air["O2"] for n, x in air.items()}
    gas.TPX = t, p, supply
    enthalpy = gas.enthalpy_mole / 1000 * sum(supply.values())
    enthalpy += formation(fuel, phase, data)[0]
    if t != T_REF:
        enthalpy += crc_cp(fuel, phase) * (t - T_REF)
    enthalpy -= lost * lower_heat(fuel, phase, data)
    # The fuel is not among the products, so the same elements are put in burnt (CO where oxygen is short).
    short = max(0.0, c + h / 4 - o / 2 - supply["O2"])
    mix = dict(supply, CO2=c - 2 * short, CO=2 * short, H2O=h / 2, O2=supply["O2"] - (c + h / 4 - o / 2) + short)
    gas.TPX = 2200, p, mix
    kg = gas.mean_molecular_weight / 1000 * sum(mix.values())
    gas.HP = enthalpy / kg, p
    gas.equilibrate("HP", rtol=1e-10)
    return gas.T


def flame_rows():
    # Tolerance 8 K on a temperature, half of the 15 K asked for: room for another data set (the three
    # below differ by under 2 K), 1 kJ/mol of fuel enthalpy (about 1 K), the standard pressure of the
    # entropies (1 bar in place of 1 atm: 0.3 K) and other minor species. Leaving out NO costs 6 K and
    # would pass; the rows on the program's own data set (1 K) do not let it. Differences between two
    # temperatures have far less to lose.
    for fuel in FUELS:
        alcohol = fuel in ("methanol", "ethanol", "propan-2-ol")
        phases = ("gas", "liquid") if alcohol else ("gas",)
        for phase in phases:
            for data in TABLES:
                hf, origin = formation(fuel, phase, data)
                where = f"cantera {ct.__version__} HP equilibrium; products {FILES[data]}; fuel enthalpy {hf/1000:.2f} kJ/mol: {origin}"
                tag = {"atct": "", "gri30": "-gri30", "nasa_gas": "-nasa"}[data]
                given = {"fuel": fuel, "fuel_phase": phase, "equivalence_ratio": 1, "oxidiser": AIR, "temperature_K": T_REF,
                         "pressure_Pa": 101325}
                note = "" if alcohol else "for information"
                if data != "atct":
                    own = "the program's own data set: checks the solver alone" + (", for information" if not alcohol else "")
                    note = own if data == "nasa_gas" else "for information: GRI-Mech 3.0, products only"
                row(f"tad-{fuel}-{phase}{tag}", "adiabatic_temperature", given, f"{flame(fuel, phase, data):.1f}", "K",
                    8 if data != "nasa_gas" else 1, where, note)
        if not alcohol:
            continue
        src = f"cantera {ct.__version__} HP equilibrium; products {FILES['atct']}; fuel enthalpy {formation(fuel, 'gas', 'atct')[1]}"
        base_t = flame(fuel)
        given = {"fuel": fuel, "fuel_phase": "gas", "equivalence_ratio": 1, "oxidiser": AIR, "temperature_K": T_REF, "pressure_Pa": 101325}
        for name, change, tol in (("30-cel", {"temperature_K": 303.15}, 0.3), ("90-kpa", {"pressure_Pa": 90000}, 0.3),
                                  ("105-kpa", {"pressure_Pa": 105000}, 0.3), ("argon-air", {"oxidiser": ARGON_AIR}, 0.3)):
            g = dict(given, **change)
            tt = flame(fuel, t=g["temperature_K"], p=g["pressure_Pa"], air=g["oxidiser"])
            row(f"tad-{fuel}-{name}", "adiabatic_temperature", g, f"{tt:.1f}", "K", 8, src)
            row(f"tad-{fuel}-{name}-change", "difference from the value at 25 Cel, 101325 Pa, O2:N2 1:3.76", g, f"{tt - base_t:.2f}", "K", tol, src)
        best = minimize_scalar(lambda f: -flame(fuel, phi=f), bounds=(0.9, 1.2), method="bounded", options={"xatol": 1e-4})
        g = dict(given, equivalence_ratio="0.9 to 1.2")
        row(f"tad-{fuel}-max", "highest adiabatic_temperature over equivalence ratio", g, f"{-best.fun:.1f}", "K", 8, src)
        row(f"tad-{fuel}-max-at", "equivalence ratio of the highest temperature", g, f"{best.x:.3f}", "1", 0.01, src)
        row(f"tad-{fuel}-max-rise", "highest less stoichiometric temperature", g, f"{-best.fun - base_t:.1f}", "K", 1.5, src)
        row(f"lower-heat-{fuel}", "lower heat of combustion at 298.15 K, gaseous fuel", {"fuel": fuel}, f"{lower_heat(fuel, 'gas', 'atct')/1000:.1f}",
            "kJ/mol", 1.5, src, "the heat whose lost share the next rows speak of")
        for lost in (0.10, 0.15, 0.25, 0.40):
            row(f"t-{fuel}-lost-{lost*100:.0f}", "temperature of the equilibrium products after a loss", dict(given, lost_share_of_lower_heat=lost),
                f"{flame(fuel, lost=lost):.1f}", "K", 8, src)


# ---- Parts B to D: line emission ----------------------------------------------------------

OBSERVER = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]   # 1 nm; interpolates by Sprague
TEMPERATURES = (1600, 1800, 2000, 2200)


def read_lines(path):
    with open(path, newline="") as f:
        rows = [r for r in csv.DictReader(f) if r["element"] in ("Li", "Na", "K", "Rb", "Cs")]
    return {el: np.array([[float(r[c]) for c in ("wavelength_air_nm", "A_ul_per_s", "E_upper_eV", "g_upper")]
                          for r in rows if r["element"] == el]) for el in ("Li", "Na", "K", "Rb", "Cs")}


def power(lines, t):
    """Relative radiated power of each line; 1/wavelength stands for h nu (shares only)."""
    wl, a, e, g = lines.T
    return g * a / wl * np.exp(-(e - e.min()) * CHARGE / (BOLTZMANN * t))


def xyz(wl, p):
    """Tristimulus values; what lies outside the observer's 360-830 nm is not seen at all."""
    seen = (wl >= 360) & (wl <= 830)
    return sum(pi * OBSERVER[float(w)] for w, pi in zip(wl[seen], p[seen]))


def colour_rows(table):
    src = f"colour-science {colour.__version__}, CIE 1931 2 degree observer at 1 nm, Sprague interpolation"
    for el in ("Li", "Na"):
        for t in TEMPERATURES:
            wl, p = table[el][:, 0], power(table[el], t)
            v = xyz(wl, p)
            x, y = colour.XYZ_to_xy(v)
            inside = bool(np.all(colour.RGB_COLOURSPACES["sRGB"].matrix_XYZ_to_RGB @ v >= 0))
            g = {"element": el, "temperature_K": t}
            tag = f"{el.lower()}-{t}"
            # The observer at 5 nm moves x, y by under 0.00001 with a smooth interpolation and by 0.0002 with
            # straight lines; the efficacy of Li by 0.02 % and by 0.8 %: straight lines are too coarse there.
            row(f"x-{tag}", "chromaticity x", g, f"{x:.5f}", "1", 0.0005, src)
            row(f"y-{tag}", "chromaticity y", g, f"{y:.5f}", "1", 0.0005, src)
            efficacy = 683 * v[1] / p.sum()
            row(f"efficacy-{tag}", "luminous efficacy of the line power", g, f"{efficacy:.2f}", "lm/W", f"{0.005 * efficacy:.2g}", src,
                "683 lm/W; V is the observer's y_bar; power over every line of the table")
            row(f"srgb-{tag}", "inside the sRGB gamut", g, str(inside).lower(), "", "", src, "chromaticity against the triangle, whatever the brightness")


def share_row(id_, what, inputs, value, src, note=""):
    """Tolerance: 0.2 % of the share or of what is left to 100 %, whichever is less (levels and constants
    have 6 digits; E/kT carries them to about 0.01 %)."""
    row(id_, what, inputs, f"{value:.9g}", "%", f"{0.002 * min(value, 100 - value):.2g}", src, note)


def share_rows(table):
    src = f"numpy {np.__version__} on the project's line table (checks arithmetic, not the table)"
    for el, lines in table.items():
        for t in TEMPERATURES:
            wl, p = lines[:, 0], power(lines, t)
            p = 100 * p / p.sum()
            order = np.argsort(-p)
            g = {"element": el, "temperature_K": t}
            tag = f"{el.lower()}-{t}"
            note = "" if wl.min() < 380 else f"no line below {wl.min():.0f} nm stands in the table"
            for name, what, value in (
                    ("visible", "share of line power, 380-750 nm", p[(wl >= 380) & (wl <= 750)].sum()),
                    ("infrared", "share of line power above 750 nm", p[wl > 750].sum()),
                    ("ultraviolet", "share of line power below 380 nm", p[wl < 380].sum())):
                share_row(f"{name}-{tag}", what, g, value, src, note if name == "ultraviolet" else "")
            share_row(f"strongest-{tag}", "share of the two strongest lines together", dict(g, lines_nm=sorted(float(wl[i]) for i in order[:2])),
                      p[order[:2]].sum(), src)
            if el == "K":
                share_row(f"outside-visible-{tag}", "share of line power outside 380-750 nm", g, p[(wl < 380) | (wl > 750)].sum(), src)
                share_row(f"doublet-{tag}", "share of line power at 766-770 nm", g, p[(wl > 766) & (wl < 770)].sum(), src,
                          "the rest is nearly all at 1169-1252 nm")
                short = (wl > 380) & (wl < 450)
                share_row(f"violet-{tag}", "share of line power at 404 nm", g, p[short].sum(), src)
                luminous = p * np.array([OBSERVER[float(w)][1] if w <= 830 else 0 for w in wl])
                light = 100 * luminous[short].sum() / luminous.sum()
                row(f"violet-light-{tag}", "share of the luminance at 404 nm", g, f"{light:.4g}", "%", f"{0.02 * light:.2g}", src)
            if el == "Na":
                ratio = p[np.argmin(abs(wl - 588.995))] / p[np.argmin(abs(wl - 589.592))]
                row(f"d2-d1-{tag}", "power of Na D2 over D1", g, f"{ratio:.5f}", "1", 0.001, src,
                    "about 2 because optically thin; a flame with much salt goes towards 1")


def spectrum_rows(table, t=2000):
    src = f"numpy {np.__version__}, Gaussian of the given FWHM on a 0.005 nm grid; maxima by a parabola through three points"
    for el, low, high, fwhm in (("Na", 560, 620, 1.0), ("Na", 560, 620, 0.2), ("Na", 815, 822, 1.0), ("Na", 815, 822, 0.2), ("K", 760, 775, 5.0)):
        wl, p = table[el][:, 0], power(table[el], t)
        sigma = fwhm / np.sqrt(8 * np.log(2))
        grid = np.arange(low, high + 0.0025, 0.005)
        s = sum(pi * np.exp(-0.5 * ((grid - w) / sigma) ** 2) for w, pi in zip(wl, p))
        at = np.flatnonzero((s[1:-1] > s[:-2]) & (s[1:-1] >= s[2:])) + 1
        at = at[s[at] > 1e-12 * s.max()]   # floating-point ripple in the empty parts is not a peak
        peaks = []
        for i in at:
            left, mid, right = s[i - 1:i + 2]
            shift = 0.5 * (left - right) / (left - 2 * mid + right)
            peaks.append((grid[i] + 0.005 * shift, mid - 0.25 * (left - right) * shift))
        top = max(h for _, h in peaks)
        for n, (w, h) in enumerate(peaks, 1):
            g = {"element": el, "temperature_K": t, "fwhm_nm": fwhm, "from_nm": low, "to_nm": high, "peak": n, "peaks": len(peaks)}
            tag = f"{el.lower()}-{low}-{high}-{fwhm:g}-{n}"
            row(f"peak-{tag}", "peak position, air wavelength", g, f"{w:.3f}", "nm", 0.01, src)
            row(f"height-{tag}", "height over that of the highest peak in the window", g, f"{h / top:.5g}", "1", f"{0.005 * h / top:.2g}", src)


if __name__ == "__main__":
    if len(sys.argv) not in (2, 3):
        sys.exit(__doc__)
    table = read_lines(sys.argv[1])
    flame_rows()
    colour_rows(table)
    share_rows(table)
    spectrum_rows(table)
    out = open(sys.argv[2], "w", newline="") if len(sys.argv) == 3 else sys.stdout
    w = csv.writer(out, lineterminator="\n")
    w.writerow(["id", "quantity", "inputs", "expected", "unit", "tolerance", "source", "note"])
    w.writerows(ROWS)
