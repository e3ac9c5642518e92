"""Thirty synthetic flame spectra for the identification test.

Usage: python flame_spectra.py [OUT.csv]           (standard library only; the seeds are fixed)
       python flame_spectra.py --others [OUT.csv]  spectra that show none of the elements

The positions below are typed from memory of handbook tables of persistent flame lines and band
heads, on purpose not read from the project's line and band tables, so that the test does not
check those tables against themselves. Not measured spectra.
"""
import csv
import random
import sys

EMITTERS = {  # nm in air, from memory; the strongest feature first
    "Li": [670.8, 610.4],
    "Na": [589.0, 589.6, 818.3, 819.5],
    "K": [766.5, 769.9, 404.4, 404.7],
    "Rb": [780.0, 794.8, 420.2, 421.6],
    "Cs": [852.1, 894.3, 455.5, 459.3],
    "Ca": [622.0, 554.0, 422.7],                    # CaOH twice, then the atom
    "Sr": [606.0, 671.0, 682.0, 460.7],             # SrOH three times, then the atom
    "Ba": [553.5, 488.0, 512.0, 524.0, 535.0],      # the atom, then BaO/BaOH
    "Cu": [535.0, 547.0, 435.0, 443.0],             # CuOH twice, CuCl twice
    "B": [548.0, 518.0, 493.0, 580.0],              # BO2
}
OTHER = {
    "mercury lamp": [435.8, 546.1, 577.0, 579.1],
    "helium tube": [447.1, 501.6, 587.6, 667.8, 706.5],
    "the burner flame itself (CH, C2, OH)": [308.9, 431.4, 473.7, 516.5, 563.5],
}
SCHOOL, WIDE = (380, 780), (350, 1000)

# truth, kind, instrument, resolution, peaks too weak to show, number of spurious peaks, notes
CASES = [
    ("Li", "clean", SCHOOL, 1, [], 0, ""),
    ("Na", "clean", WIDE, 0.5, [], 0, ""),
    ("K", "clean", WIDE, 1, [], 0, ""),
    ("Rb", "clean", WIDE, 0.5, [], 0, ""),
    ("Cs", "clean", WIDE, 2, [], 0, ""),
    ("Ca", "clean", SCHOOL, 2, [], 0, ""),
    ("Sr", "clean", SCHOOL, 5, [], 0, "SrOH 671 lies at Li 670.8; 606, 682 and 460.7 settle it"),
    ("Ba", "clean", SCHOOL, 2, [], 0, ""),
    ("Cu", "clean", SCHOOL, 2, [], 0, "copper chloride"),
    ("B", "clean", SCHOOL, 5, [], 0, "boric acid in methanol"),
    ("K", "noise", SCHOOL, 2, [404.4, 404.7], 2, "violet pair lost in the noise"),
    ("Sr", "noise", SCHOOL, 1, [], 2, ""),
    ("Cu", "noise", SCHOOL, 1, [], 1, ""),
    ("Cs", "missing", SCHOOL, 1, [], 0, "the two strong lines are beyond the instrument"),
    ("Li", "missing", SCHOOL, 1, [610.4], 0, "one peak only"),
    ("Ba", "missing", SCHOOL, 2, [488.0, 535.0], 0, ""),
    ("Li+Na", "mixture", SCHOOL, 5, [818.3, 819.5], 0, ""),
    ("Ca+K", "mixture", WIDE, 2, [404.4, 404.7], 0, ""),
    ("K+Li+Na", "mixture", WIDE, 1, [404.4, 404.7], 0, ""),
    ("Ba+Na+Sr", "mixture", SCHOOL, 1, [], 0, ""),
    ("K+Na", "contaminated", SCHOOL, 10, [404.4, 404.7], 0, "sample K; sodium is the contamination"),
    ("Na+Rb", "contaminated", WIDE, 2, [818.3, 819.5], 0, "sample Rb; sodium is the contamination"),
    ("Cu+Na", "contaminated", SCHOOL, 2, [435.0, 443.0], 0, "sample Cu without chloride; sodium is the contamination"),
    ("B+Na", "contaminated", SCHOOL, 2, [], 0, "sample B; sodium is the contamination"),
    ("none", "none", SCHOOL, 1, [], 0, "mercury lamp"),
    ("none", "none", WIDE, 1, [], 0, "helium tube"),
    ("none", "none", SCHOOL, 2, [], 0, "the burner flame itself (CH, C2, OH)"),
    # The last three are one peak each, put where two emitters fit it equally well; no noise is added.
    ("cannot_tell", "cannot_tell", SCHOOL, 10, [554.0], 0, "Ba 553.5 or CaOH 554"),
    ("cannot_tell", "cannot_tell", SCHOOL, 5, [547.5], 0, "CuOH 547 or BO2 548"),
    ("cannot_tell", "cannot_tell", (380, 700), 5, [421.8], 0, "Ca 422.7 or Rb 420.2 and 421.6 merged; the red is beyond the instrument"),
]


LAMPS = {  # nm in air, from memory: no flame has made them
    "mercury lamp, red end cut off": ([404.7, 435.8, 546.1, 577.0, 579.1], (380, 700)),
    "neon lamp": ([585.2, 588.2, 594.5, 603.0, 607.4, 614.3, 621.7, 626.6, 633.4, 638.3, 640.2, 650.7, 703.2], SCHOOL),
    "compact fluorescent lamp": ([404.7, 435.8, 487.0, 542.4, 546.1, 577.0, 579.1, 585.0, 587.6, 593.4, 599.7, 611.6, 625.7,
                                  631.1, 650.8, 707.0], SCHOOL),
    "helium tube": ([447.1, 501.6, 587.6, 667.8, 706.5], SCHOOL),
    "hydrogen tube": ([410.2, 434.0, 486.1, 656.3], SCHOOL),
    "dark lines of daylight": ([393.4, 396.8, 430.8, 486.1, 516.7, 517.3, 527.0, 589.0, 589.6, 656.3, 686.7], SCHOOL),
    "lead": ([405.8], (380, 750)),
    "gallium": ([403.3, 417.2], (380, 750)),
    "manganese": ([403.1, 539.0, 558.0], (380, 750)),
    "thallium": ([535.0], SCHOOL),
    "indium": ([410.2, 451.1], SCHOOL),
}


def others():
    """Lamps and metals that are none of the ten, and peaks anywhere."""
    for what, (peaks, span) in LAMPS.items():
        for resolution in (1, 2, 5):
            yield what, span, resolution, peaks
    rng = random.Random(20251129)
    for resolution in (1, 2, 5, 10):
        for count in (1, 2, 3, 5, 8, 12):
            for _ in range(5):
                peaks = sorted({round(rng.uniform(*SCHOOL), 1) for _ in range(count)})
                yield f"{count} peaks anywhere", SCHOOL, resolution, peaks


def merged(peaks, resolution):
    """Neighbours closer than the resolution show as one peak at their mean."""
    groups = []
    for w in sorted(peaks):
        if groups and w - groups[-1][-1] < resolution:
            groups[-1].append(w)
        else:
            groups.append([w])
    return [sum(g) / len(g) for g in groups]


def spectrum(rng, truth, kind, span, resolution, hidden, spurious, notes):
    if kind == "cannot_tell":
        return hidden   # the one peak, as written
    known = OTHER[notes] if truth == "none" else [w for e in truth.split("+") for w in EMITTERS[e]]
    lines = [w for w in known if w not in hidden and span[0] <= w <= span[1]]
    peaks = [w + rng.gauss(0, 0.2 * resolution) for w in merged(lines, resolution)]
    everything = [w for table in (EMITTERS, OTHER) for ws in table.values() for w in ws]
    while spurious:
        w = rng.uniform(*span)
        # A spurious peak on top of another element's line would make the truth untrue.
        if min(abs(w - x) for x in everything + peaks) > 4 * resolution:
            peaks.append(w)
            spurious -= 1
    return sorted(w for w in peaks if span[0] <= w <= span[1])


if __name__ == "__main__":
    arguments = sys.argv[1:]
    of_others = arguments[:1] == ["--others"]
    target = arguments[of_others:]
    out = open(target[0], "w", newline="") if target else sys.stdout
    writer = csv.writer(out, lineterminator="\n")
    if of_others:
        writer.writerow(["kind", "instrument_from_nm", "instrument_to_nm", "resolution_nm", "peaks", "source"])
        for what, span, resolution, peaks in others():
            source = "drawn at random" if what.endswith("anywhere") else "positions from memory of handbook tables"
            writer.writerow([what, *span, resolution, " ".join(f"{w:.1f}" for w in peaks), source])
        sys.exit()
    rng = random.Random(20240612)
    writer.writerow(["id", "truth", "instrument_from_nm", "instrument_to_nm", "resolution_nm", "peaks", "kind", "source", "notes"])
    for n, case in enumerate(CASES, 1):
        truth, kind, span, resolution, hidden, spurious, notes = case
        peaks = spectrum(rng, *case)
        if spurious:
            notes = "; ".join(x for x in (notes, f"{spurious} spurious peak{'s' * (spurious > 1)}") if x)
        writer.writerow([f"flame-{n:02}", truth, *span, resolution, " ".join(f"{w:.1f}" for w in peaks), kind,
                         "synthetic; positions from memory of handbook tables", notes])
