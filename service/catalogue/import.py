#!/usr/bin/env python3
"""Writes the substance files and sources.toml of this folder from the published tables.

    python3 service/catalogue/import.py --data DIR --map FILE --mixtures FILE [--only "ID;ID"]

DIR holds the tables of published values (one CSV per property, each row with its source and a verdict), the files the map
of substances and the compositions of named mixtures. No figure is typed by hand: what is stored here is the text of the tables. The uncertainties below are
judgements of the project, used where the tables give none.
"""
import argparse
import collections
import csv
import pathlib
import re
import tomllib

HERE = pathlib.Path(__file__).parent
# Key of a source: the first pattern found in the publication's text.
SOURCES = [
    ("IEC 60079-20-1", "iec-60079-20-1-2010"), ("NFPA 497", "nfpa-497-2008"), ("Serat", "serat-2017"),
    ("Wikidata", "wikidata"), ("methods.md section 2", "t-star"), ("methods.md section 3", "stoichiometric-share"),
    ("Wagner Collection Poling", "poling-2000-wagner"), ("Antoine Collection Poling", "poling-2000-antoine"),
    ("Poling", "poling-2000"), ("Landolt", "landolt-boernstein-1999"), ("WebBook", "nist-webbook"),
    ("Table 2-8", "perry-2007-2-8"), ("Table 2-32", "perry-2007-2-32"), ("Table 2-150", "perry-2007-2-150"),
    ("Table 2-153", "perry-2007-2-153"), ("Perry", "perry-2007"), ("VDI", "vdi-2010"), ("McGarry", "mcgarry-1983"),
    ("ATcT", "atct-1-112"), ("Ruscic", "atct-1-112"), ("CRC Handbook", "crc-2014"), ("CAS Common", "cas-common-chemistry"),
    ("Gharagheizi", "gharagheizi-2013"), ("Zabransky", "zabransky-1996"), ("Jasper", "jasper-1972"),
    ("Mulero, Cachadina", "mulero-2012"), ("Mulero, Parra", "mulero-2013"), ("Somayajulu", "somayajulu-1988"),
    ("Open Melting Point", "open-melting-points-2014"), ("Yaws", "yaws-2014"), ("IUPAC series", "iupac-critical-1995-2015"),
    ("Horstmann", "psrk-2005"), ("Pina-Martinez", "pina-martinez-2021"), ("Passut", "passut-danner-1973"),
    ("Mathews", "mathews-1972"), ("Huber", "equations-of-state-2022"), ("equation of state of", "equation-of-state"),
    ("TRC", "trc-1994"), ("Albahri", "api-technical-data-book"), ("JANAF", "janaf-1998"), ("Joback", "joback-1987"),
    ("Fuller", "fuller-1969"), ("derived: formation enthalpy", "formation-enthalpies"),
    ("no published", "none-published"),
]
TITLES = {
    "judgement": "judgement of this project",
    "memory": "memory: confirm before quoting",
    "common-practice": "common practice, no source",
    "exposure-limits": "exposure limits as lists state them; each figure names its list and edition",
    "iupac-atomic-weights-2021": "IUPAC abridged standard atomic weights 2021 (memory)",
    "t-star": "estimate: the temperature at which the saturated vapour reaches the lower limit",
    "stoichiometric-share": "estimate: 0.40 of the stoichiometric fraction",
    "formation-enthalpies": "derived from the formation enthalpies named beside the value",
}
FORMS = [
    ("Antoine log10", "antoine_log10"), ("Antoine ln", "antoine_ln"), ("TRC extended", "antoine_extended"),
    ("DIPPR 101", "dippr_101"), ("Wagner 2.5-5", "wagner_25_5"), ("Wagner 3-6", "wagner_3_6"),
    ("DIPPR 105", "dippr_105"), ("PPDS10", "ppds_10"), ("PPDS12", "ppds_12"), ("DIPPR 106 H", "dippr_106"),
    ("DIPPR 106 sigma", "dippr_106"), ("DIPPR 100 Cp", "dippr_100"), ("DIPPR 100 sigma", "dippr_100"),
    ("DIPPR 114", "dippr_114"), ("Shomate", "shomate"), ("cubic Cp/R", "zabransky_cubic"),
    ("quasi-polynomial", "zabransky_quasi_polynomial"), ("single", "single_value"), ("sigma = c1 - c2", "jasper"),
    ("sigma = c1 t^c2", "power_sum"), ("sigma = c1 X", "somayajulu"), ("Cp/R = c1 + (c2/T^2)", "trc"),
    ("Cp/R = c1 + c2 T", "polynomial_r"), ("Cp = c1 + c2 T", "polynomial"),
]
# Figures that are computed, carry no temperature, or only serve as checks.
LEFT_OUT = {"CoolPropAnc", "CoolPropEOS", "COSTALD", "CAS Common Chemistry", "Wikidata", "thermoFit2023"}
SEEN = {"seen": "source", "seen in copy": "copy", "memory": "memory", "derived": "derived"}

sources, forms = {}, {}


def table(folder, name):
    with open(folder / (name + ".csv"), newline="", encoding="utf-8") as file:
        rows = collections.defaultdict(list)
        for row in csv.DictReader(file):
            rows[row["cas"]].append(row)
    return rows


def text(value):
    return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'


def words(values):
    return "[" + ", ".join(text(value) for value in values) + "]"


def cite(row):
    """Key of a row's source, its locator, and the remark on who converted it."""
    publication = row["original_publication"]
    remark = re.search(r"\(package: ([^)]*)\)", publication)
    title = re.sub(r"\s*\(package: [^)]*\)", "", publication)
    where = row.get("data_file", "")
    own = "own arithmetic" in row.get("package", "") or not row.get("package") or row.get("package") == "none"
    for pattern, key in SOURCES:
        if pattern in publication + " " + where:
            break
    else:
        raise SystemExit(f"no source key for {publication!r} ({where})")
    citation = re.search(r"equation of state of ([\w-]+)", publication)
    if citation:
        key = "equation-of-state-" + citation.group(1).lower().replace("_", "-")
    sources.setdefault(key, (TITLES.get(key, title), "" if own else row["package"]))
    lines = [f"source = {text(key)}"]
    if where and not own:
        lines.append(f"locator = {text(where)}")
    lines.append(f'seen = "{"derived" if own else "copy"}"')
    if remark:
        lines.append(f"converted_by = {text('package: ' + remark.group(1))}")
    return key, lines


def unit_of(row):
    return {"mole fraction": "mol/mol"}.get(row["value_unit"], row["value_unit"])


def datum(name, rows, uncertainty, prefer=("CRC",)):
    """One table for a single value: the chosen row, and every other one with the reason why not."""
    rows = [row for row in rows if "0 K (by comparison" not in row["quantity"] and "not stated" not in row["quantity"]]
    if not rows:
        return []
    chosen = next((row for row in rows if row.get("chosen") == "yes"), None)
    if chosen is None:
        usable = [row for row in rows if row["verdict"] == "use"]
        chosen = next((row for row in usable if row["set"] in prefer), usable[0] if usable else None)
    lines = ["", f"[{name}]"]
    # A chosen flash point or lower limit with the verdict doubtful is the lower of two tables, or an estimate on top of an
    # estimate: it is used, since the other side is the lenient one, and the estimate is widened.
    verdicts = ("use", "doubtful") if name in ("flash_point", "lower_flammable_limit") else ("use",)
    trusted = chosen is not None and chosen["value"] and chosen["verdict"] in verdicts and chosen["set"] != "Wikidata"
    if trusted:
        estimated = chosen["set"] in ("T* (derived)", "0.40 Cst")
        lines.append(f"value = {text(chosen['value'] + ' ' + unit_of(chosen))}")
        star = "8 K" if chosen["verdict"] == "use" else "15 K"
        wide = {"T* (derived)": star, "0.40 Cst": "25 %"}.get(chosen["set"], uncertainty)
        if name in ("boiling_point", "melting_point"):
            # No narrower than the other figures that are usable lie apart.
            apart = [abs(float(row["value"]) - float(chosen["value"])) for row in rows
                     if row["value"] and row["verdict"] == "use" and row["set"] != "Wikidata"]
            wide = f"{max(float(uncertainty.split()[0]), *apart):.4g} K"
        lines.append(f"uncertainty = {text(wide)}")
        if estimated:
            lines.append("estimated = true")
        lines += cite(chosen)[1]
        if chosen["reason"]:
            lines.append(f"note = {text(chosen['reason'])}")
    else:
        none = next((row for row in rows if row["set"] == "none"), None)
        note = none["reason"] if none else "no trusted value is published"
        lines += [f'seen = "{"memory" if "memory" in note else "copy"}"', f"note = {text(note)}"]
    others = [row for row in rows if row["value"] and not (trusted and row is chosen)]
    if others:
        lines.append("instead_of = [")
        for row in others:
            key, _ = cite(row)
            reason = row["reason"] or "not chosen"
            lines.append(f"  {{ value = {text(row['value'] + ' ' + unit_of(row))}, source = {text(key)}, "
                         f"verdict = {text(row['verdict'])}, reason = {text(reason)} }},")
        lines.append("]")
    return lines


def form_of(row):
    for pattern, key in FORMS:
        if row["form"].startswith(pattern):
            return key
    raise SystemExit(f"no form key for {row['form']!r}")


def coefficients(row):
    values = [row.get(f"c{i}", "") for i in range(1, 9)]
    while values and not values[-1]:
        values.pop()
    if "" in values:
        raise SystemExit(f"a coefficient is missing in {row}")
    return values


def equations(name, rows):
    """An array of tables, one for each published equation; what is wrong is listed apart."""
    lines, wrong = [], []
    for row in rows:
        if row["set"] in LEFT_OUT or row["form"] == "single molar volume":
            continue
        key, cited = cite(row)
        if row["verdict"] == "wrong":
            wrong.append(f"  {{ set = {text(row['set'])}, source = {text(key)}, reason = {text(row['reason'])} }},")
            continue
        form = form_of(row)
        single = form == "single_value"
        unit = row.get("value_unit", "")
        if not single:
            forms.setdefault(f"{name}.{form}", row["form"])
        # The handbook's superscript of a density is glued to its digits: the decoded figure is the printed one.
        printed = row["test_value"] if single and name == "density" else row.get("value", "")
        values = [printed] if single else coefficients(row)
        low, high = (row["test_T_K"],) * 2 if single else (row["T_min"], row["T_max"])
        if not low or not high:
            continue
        lines += ["", f"[[{name}]]", f"set = {text(row['set'])}", f"form = {text(form)}",
                  f"coefficients = {words(values)}", f'valid = {{ from = "{low} K", to = "{high} K" }}']
        if unit:
            lines.append(f"unit = {text('kg/m3' if single and name == 'density' else unit)}")
        if row.get("recommended_in_map"):
            lines.append("recommended = true")
        lines += [f"verdict = {text(row['verdict'])}", f"reason = {text(row['reason'])}"] + cited
        if row.get("Tc_K"):
            lines.append(f'critical_temperature = "{row["Tc_K"]} K"')
        if row.get("Pc_Pa"):
            lines.append(f'critical_pressure = "{row["Pc_Pa"]} Pa"')
        if row.get("exponents"):
            lines.append(f"exponents = {words(row['exponents'].split())}")
        if row.get("expansion_20C_1_K"):
            lines.append(f'expansion = "{row["expansion_20C_1_K"]} /K"')
        value, test_unit = (row["test_p_Pa"], "Pa") if name == "vapour_pressure" else (row["test_value"], row["test_unit"])
        lines.append(f'test = {{ temperature = "{row["test_T_K"]} K", value = "{value} {test_unit}" }}')
        if row["note"]:
            lines.append(f"note = {text(row['note'])}")
    if wrong:
        lines = ["", f"[{name}_wrong]", "not_used = ["] + wrong + ["]"] + lines
    return lines


def of_quantity(rows, *starts):
    return [row for row in rows if row["quantity"].startswith(starts)]


def hazard(row):
    lines = ["", "[hazard]"]
    keys = {"clp_class": "classification", "flammable_class_from_data": "flammable_class_from_data",
            "peroxide_group": "peroxide_group", "peroxide_meaning": "peroxide_meaning", "hazard_family": "family",
            "static_conductivity": "static_conductivity", "soot_tendency": "soot_tendency",
            "flame_visibility": "flame_visibility", "odour_note": "odour_note", "waste_group": "waste_group"}
    lines += [f"{key} = {text(row[column])}" for column, key in keys.items() if row[column]]
    if row["h_codes"]:
        lines.append(f"statements = {words(row['h_codes'].split())}")
    return lines + [f"basis = {text(row['original_publication'])}", 'seen = "memory"']


def exposure(rows):
    lines = []
    for row in rows:
        lines += ["", "[[exposure_limit]]"]
        lines += [f"{key} = {text(row[key])}" for key in
                  ("jurisdiction", "list", "edition", "kind", "averaging_time", "stated_unit", "skin") if row[key]]
        if row["value_ppm"]:
            lines.append(f'volume_fraction = "{row["value_ppm"]} [ppm]"')
        if row["value_mg_m3"]:
            lines.append(f'mass_concentration = "{row["value_mg_m3"]} mg/m3"')
        if row["disputed"]:
            lines.append("disputed = true")
        lines.append(f'seen = "{SEEN.get(row["seen"].split(";")[0].strip(), "memory")}"')
        if row["note"]:
            lines.append(f"note = {text(row['note'])}")
    return lines


def groups(rows, model):
    mine = [row for row in rows if row["model"] == model and row["count"]]
    if not mine:
        return []
    entries = ", ".join(f'{{ subgroup = {r["subgroup"]}, name = {text(r["subgroup_name"])}, count = {r["count"]} }}' for r in mine)
    return ["", f"[unifac_{model.lower()}]", f"groups = [{entries}]"]


def substance(entry, ident, t):
    cas = ident["cas"]
    name = ident["uk_school_name"] or entry["name"]
    names = [other for other in ident["all_names"].split("|") if other != name]
    if ident["iupac_preferred_name"] not in [name, *names, ""]:
        names.append(ident["iupac_preferred_name"])
    lines = [f"name = {text(name)}", f"names = {words(names)}", f"cas = {text(cas)}",
             f"inchikey = {text(ident['inchikey'])}", f"inchi = {text(ident['inchi'])}", f"smiles = {text(ident['smiles'])}",
             f"formula = {text(ident['formula'])}", f"family = {text(entry['family'])}", f"tier = {entry['tier']}",
             'names_seen = "memory"']
    letter = entry["vp_class_20C"][0]
    spread = entry["P20C_spread_in_range_pct"]
    usable = [row for row in t["vapour_pressure_equations"][cas]
              if row["set"] not in LEFT_OUT and row["verdict"] != "wrong" and row["T_min"] and row["T_max"]]
    none = not any(float(row["T_min"]) <= 293.15 <= float(row["T_max"]) for row in usable)
    if none:
        letter, spread = "D", ""
    reason = ("D: no set in range at 20 Cel" if none else entry["vp_class_20C"]) + (f"; the sets in range at 20 Cel span {spread} %" if spread else "")
    lines.append(f'vapour_pressure_class = {{ class = "{letter}", reason = {text(reason)} }}')
    sources.setdefault("iupac-atomic-weights-2021", (TITLES["iupac-atomic-weights-2021"], ""))
    lines += ["", "[molar_mass]", f'value = "{ident["molar_mass_g_mol"]} g/mol"', 'uncertainty = "0.01 %"',
              'source = "iupac-atomic-weights-2021"', 'seen = "memory"']
    flash, constants, heat = t["flash_limits_autoignition"][cas], t["critical_and_boiling"][cas], t["formation_enthalpy_and_combustion"][cas]
    # A heat of combustion that comes from a doubtful heat of formation is known no better than to 3 %.
    formation = of_quantity(heat, "standard enthalpy of formation of liquid")
    doubtful = any(row.get("chosen") == "yes" and row["verdict"] == "doubtful" for row in formation)
    burning = "3 %" if doubtful else "1 %"
    for key, quantity, rows, uncertainty in [
        ("flash_point", "flash point", flash, "3 K"), ("lower_flammable_limit", "lower flammable", flash, "10 %"),
        ("upper_flammable_limit", "upper flammable", flash, "20 %"), ("autoignition_temperature", "autoignition", flash, "10 K"),
        ("boiling_point", "normal boiling", constants, "0.5 K"), ("melting_point", "melting", constants, "1 K"),
        ("critical_temperature", "critical temperature", constants, "0.5 %"), ("critical_pressure", "critical pressure", constants, "3 %"),
        ("enthalpy_of_formation_liquid", "standard enthalpy of formation of liquid", heat, "1 %"),
        ("heat_of_combustion_lower", "heat of combustion of liquid, lower", heat, burning),
        ("heat_of_combustion_higher", "heat of combustion of liquid, higher", heat, burning),
    ]:
        lines += datum(key, of_quantity(rows, quantity), uncertainty)
    diffusion = next((row for row in t["fuller_increments"][cas] if row["D_air_293K_cm2_s"]), None)
    if diffusion:
        sources.setdefault("fuller-1969", ("Fuller, Ensley, Giddings, J. Phys. Chem. 73 (1969) 3679", ""))
        lines += ["", "[diffusivity_in_air]", f'value = "{diffusion["D_air_293K_cm2_s"]} cm2/s"', 'uncertainty = "10 %"',
                  'source = "fuller-1969"', 'seen = "derived"', 'note = "at 293.15 K and 101.325 kPa"']
    for key in ("vapour_pressure", "density", "heat_of_vaporisation", "surface_tension"):
        lines += equations(key, t["vapour_pressure_equations" if key == "vapour_pressure" else key][cas])
    capacity = t["heat_capacity"][cas]
    lines += equations("heat_capacity_liquid", of_quantity(capacity, "molar heat capacity of liquid"))
    lines += equations("heat_capacity_gas", of_quantity(capacity, "molar heat capacity of ideal gas"))
    for row in t["hazard_notes"][cas]:
        lines += hazard(row)
    lines += exposure(t["exposure_limits"][cas])
    lines += groups(t["unifac_dortmund_groups"][cas], "Dortmund")
    return "\n".join(lines) + "\n"


def check(ident, content, seen_names):
    parsed = tomllib.loads(content)
    digits = ident["cas"].replace("-", "")
    total = sum(i * int(d) for i, d in enumerate(reversed(digits[:-1]), 1))
    assert total % 10 == int(digits[-1]), f"CAS check digit of {ident['cas']}"
    for name in [parsed["name"], *parsed["names"]]:
        other = seen_names.setdefault(name.lower(), ident["cas"])
        assert other == ident["cas"], f"{name} stands for {other} and {ident['cas']}"


# Other compositions in which a mixture is sold, on the basis of its definition; from memory, where no definition fixes it.
SOLD = {
    "industrial-denatured-alcohol": ["95;5;0", "88;5;7"],
    "mineralised-methylated-spirit-burner-fuel": ["90;4;6", "81;10;9"],
    "propan-2-ol-70": ["68;32", "72;28"],
    "white-spirit": ["40;40;20", "85;15;0"],
    "petroleum-ether-40-60": ["70;20;10", "10;60;30"],
    "petroleum-ether-60-80": ["45;50;5", "10;60;30"],
    "petroleum-ether-80-100-lighter-fluid": ["40;40;20", "5;70;25"],
    "petroleum-ether-100-120": ["60;40", "25;75"],
    "nail-varnish-remover-propanone-type": ["60;40", "90;10"],
    "nail-varnish-remover-propanone-free": ["80;10;10", "50;20;30"],
    "cellulose-thinner": ["40;35;15;10", "70;5;15;10"],
    "amino-acid-chromatography-solvent": ["66.7;16.65;16.65", "60;15;25"],
}


def mixture_names(rows, compositions):
    """The mixtures recognised by name with their compositions, and the names that can mean several liquids."""
    mixtures, ambiguous = [], []
    for row in rows:
        names = list(dict.fromkeys(row["all_names"].split("|")))
        if row["kind"] == "mixture":
            ident = re.sub(r"[^a-z0-9]+", "-", row["substance"].lower()).strip("-")
            # "denatured alcohol" alone is what most bottles are called.
            extra = ["denatured alcohol"] if ident == "industrial-denatured-alcohol" else []
            others = [name for name in names + extra if name != row["substance"]]
            made = compositions[row["substance"]]
            parts = made["components"].split(";")
            shares = [made["amounts"]] + SOLD.get(ident, [])
            mixtures += ["[[mixture]]", f"id = {text(ident)}", f"name = {text(row['substance'])}", f"names = {words(others)}",
                         f"parts = {words(parts)}", f"basis = {text(made['basis'])}",
                         "shares = [" + ", ".join("[" + ", ".join(share.split(";")) + "]" for share in shares) + "]",
                         f"source = {text(made['composition_source'])}",
                         f'seen = "{"memory" if "memory" in made["composition_source"] or ident in SOLD else "derived"}"', ""]
        else:
            ambiguous += ["[[ambiguous]]", f"names = {words(names)}", f"may_mean = {words(row['may_mean'].split('|'))}", ""]
    return "\n".join(mixtures), "\n".join(ambiguous)


def group_table(folder):
    """The published subgroups and interaction parameters of modified UNIFAC (Dortmund)."""
    def read(name):
        with open(folder / (name + ".csv"), newline="", encoding="utf-8") as file:
            return [row for row in csv.DictReader(file) if row["model"] == "Dortmund"]
    subgroups, pairs = read("unifac_dortmund_subgroups"), read("unifac_dortmund_interactions")
    lines = ["# Modified UNIFAC (Dortmund). A pair of main groups that is absent is not known: it is not zero.",
             f"publication = {text(pairs[0]['original_publication'])}", f"read_in = {text(pairs[0]['package'])}", 'seen = "copy"', "", "subgroups = ["]
    lines += [f"  {{ subgroup = {r['subgroup']}, name = {text(r['subgroup_name'])}, main = {r['main_group']}, "
              f"main_name = {text(r['main_group_name'])}, r = {text(r['R'])}, q = {text(r['Q'])} }}," for r in subgroups]
    lines += ["]", "", "# from, to, a in K, b, c in 1/K: psi = exp(-(a + b T + c T^2)/T)", "interactions = ["]
    lines += [f"  [{r['main_group_i']}, {r['main_group_j']}, {text(r['a_K'])}, {text(r['b'])}, {text(r['c_1_K'])}]," for r in pairs]
    return "\n".join(lines + ["]", ""])


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--data", type=pathlib.Path, required=True)
    parser.add_argument("--map", type=pathlib.Path, required=True)
    parser.add_argument("--mixtures", type=pathlib.Path, required=True)
    parser.add_argument("--only", default="")
    given = parser.parse_args()
    names = ["flash_limits_autoignition", "critical_and_boiling", "formation_enthalpy_and_combustion", "fuller_increments",
             "vapour_pressure_equations", "density", "heat_of_vaporisation", "surface_tension", "heat_capacity",
             "hazard_notes", "exposure_limits", "unifac_dortmund_groups"]
    tables = {name: table(given.data, name) for name in names}
    identifiers = table(given.data, "identifiers")
    idents = {rows[0]["substance"]: rows[0] for cas, rows in identifiers.items() if cas}
    rows_without_cas = identifiers[""]
    with open(given.map, newline="", encoding="utf-8") as file:
        entries = {row["slug"]: row for row in csv.DictReader(file)}
    with open(given.mixtures, newline="", encoding="utf-8") as file:
        compositions = {row["mixture"]: row for row in csv.DictReader(file)}
    wanted = given.only.split(";") if given.only else list(entries)
    folder = HERE / "substances"
    folder.mkdir(exist_ok=True)
    seen_names = {}
    for slug in wanted:
        content = substance(entries[slug], idents[slug], tables)
        check(idents[slug], content, seen_names)
        (folder / f"{slug}.toml").write_text(content, encoding="utf-8", newline="\n")
    mixtures, ambiguous = mixture_names((row for row in rows_without_cas if row["kind"] != "substance"), compositions)
    (HERE / "groups.toml").write_text(group_table(given.data), encoding="utf-8", newline="\n")
    (HERE / "mixtures.toml").write_text(mixtures, encoding="utf-8", newline="\n")
    (HERE / "ambiguous.toml").write_text(ambiguous, encoding="utf-8", newline="\n")
    for key in ("judgement", "memory", "common-practice", "exposure-limits"):
        sources[key] = (TITLES[key], "")
    lines = []
    for key, (title, package) in sorted(sources.items()):
        lines += [f"[{key}]", f"title = {text(title)}"] + ([f"read_in = {text('open data set ' + package)}"] if package else []) + [""]
    (HERE / "sources.toml").write_text("\n".join(lines), encoding="utf-8", newline="\n")
    lines = [f"{text(key)} = {text(value)}" for key, value in sorted(forms.items())]
    (HERE / "forms.toml").write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")
    print(f"{len(wanted)} substances, {len(sources)} sources, {len(forms)} forms")


if __name__ == "__main__":
    main()
