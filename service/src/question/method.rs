//! The equations that replies name.

/// An equation.
#[derive(Debug, Clone, Copy)]
pub struct Known {
    /// Its id.
    pub id: &'static str,
    /// The equation with its symbols.
    pub equation: &'static str,
    /// Where it is valid, and what happens outside.
    pub valid_range: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}

/// Every equation that a reply can name.
pub const METHODS: &[Known] = &[
    Known {
        id: "vapour_pressure",
        equation: "p(T) by the first published set in range (Antoine, DIPPR 101 or Wagner; the set is named beside each figure)",
        valid_range: "the stated range of each set; up to 10 K below every range marked extrapolated and widened by 25 %; else refused",
        source: "the publication of each set, in `sources`",
    },
    Known {
        id: "boiling_point",
        equation: "p(T) = P",
        valid_range: "where a published vapour-pressure set reaches P; ±0.5 K (classes A, B) or ±1.5 K (C, D)",
        source: "definition",
    },
    Known {
        id: "saturated_vapour",
        equation: "x = p/P; c = p M/(R T)",
        valid_range: "ideal gas; below the boiling point",
        source: "ideal gas law, R = 8.314462618 J/(mol K)",
    },
    Known {
        id: "flash_point_at_pressure",
        equation: "p(T) = p(Tf) P/p0, p0 = 101.325 kPa; where no set reaches Tf: T = Tf - 0.25 K/kPa (p0 - P)",
        valid_range: "40 to 120 kPa; published closed-cup flash point ±3 K",
        source: "agrees with the correction of ISO 2719 to its purpose",
    },
    Known {
        id: "headspace",
        equation: "too lean if p/P < L and t below the flash point, too rich if p/P > U, else ignitable; each at its unfavourable end",
        valid_range: "pure liquids at rest with their saturated vapour",
        source: "definition of the flammable limits and the flash point",
    },
    Known {
        id: "activity_coefficients",
        equation: "ln g by modified UNIFAC (Dortmund); p_i = x_i g_i p_i(T)",
        valid_range: "liquids whose groups and pairs of groups all have published parameters; partial pressures ±(5 % where diluted + 10 % of ln g)",
        source: "Weidlich, Gmehling 1987 (equations from memory); published parameters as in `catalogue/groups.toml`",
    },
    Known {
        id: "flash_point_of_mixture",
        equation: "sum over flammable parts of x_i g_i p_i(T)/p_i(Tf_i) = P/p0",
        valid_range: "±4 K; ±8 K with 80 % water by volume and more; parts that do not burn only dilute",
        source: "Liaw, Tang, Lai 2004 (from memory)",
    },
    Known {
        id: "flash_point_bound",
        equation: "the lowest flash point of a part less 10 K",
        valid_range: "where a pair of groups has no published parameters: a bound, no estimate",
        source: "judgement: an alcohol with a hydrocarbon flashes up to 10 K below both",
    },
    Known {
        id: "le_chatelier",
        equation: "L = 1/sum(y_i/L_i) over the flammable vapours, y_i their shares in the vapour given off; evaporated completely: in the liquid",
        valid_range: "flammable vapours alone; those that do not burn are left out, since they make the limit no lower",
        source: "Le Chatelier's rule",
    },
    Known {
        id: "two_liquids",
        equation: "stability by the tangent plane distance from a trial phase near each pure part; tie line by equal activities",
        valid_range: "as the model of the activity coefficients",
        source: "Michelsen 1982; Rachford, Rice 1952 (from memory)",
    },
    Known {
        id: "drift",
        equation: "dm_i/dm = w_i, w_i the mass share of part i in its vapour",
        valid_range: "open liquid at a fixed temperature, the moisture of the room left out",
        source: "Rayleigh's relation",
    },
    Known {
        id: "limit_temperature",
        equation: "p(T) = L(T) P; p(T) = U P",
        valid_range: "where a published vapour-pressure set reaches it",
        source: "definition",
    },
    Known {
        id: "lower_limit_at_temperature",
        equation: "L(t) = L25 [1 - (t - 25 Cel)/s], s = 1275 K (methanol 875 K); not raised below 25 Cel",
        valid_range: "25 Cel and above; kept at a quarter of L25 where it would fall below",
        source: "modified Burgess-Wheeler law (an abstract of a test of it was seen)",
    },
    Known {
        id: "category",
        equation: "1: flash point < 23 Cel, boiling point <= 35 Cel; 2: < 23, > 35; 3: 23 to 60 Cel",
        valid_range: "published values at 101.325 kPa",
        source: "Regulation (EC) 1272/2008, Annex I, table 2.6.1 (seen)",
    },
    Known {
        id: "limit_as_mass",
        equation: "L_mass = L M P/(R T)",
        valid_range: "ideal gas, at the room's temperature and pressure",
        source: "ideal gas law",
    },
    Known {
        id: "vapour_volume",
        equation: "V = v rho R T/(M P), v liquid at 20 Cel",
        valid_range: "ideal gas; displaced air is not corrected for",
        source: "ideal gas law",
    },
    Known {
        id: "mixed_room",
        equation: "share = V/(V_free L)",
        valid_range: "all the liquid at once as vapour, evenly mixed",
        source: "mass balance",
    },
    Known {
        id: "floor_layer",
        equation: "d = V/(L A_free)",
        valid_range: "all the vapour at the limit over the floor; vapour heavier than air",
        source: "mass balance",
    },
    Known {
        id: "decay",
        equation: "c = c0 exp(-E n t)",
        valid_range: "well-mixed air, n air changes, E mixing effectiveness",
        source: "mass balance V dc/dt = -E Q c",
    },
    Known {
        id: "film_evaporation",
        equation: "N = k F (p - pa)/(R T), F = ln((P - pa)/(P - p)) P/(p - pa); k the larger of 18.3e-3 u^0.78 M^(-1/3) and 0.664 Re^(1/2) Sc^(1/3) D/l, no less than in still air: 0.27 Ra^(1/4) D/lc, (8/pi) D/l",
        valid_range: "surfaces of 1 cm to 10 m, air below 1 m/s, below the boiling point; the lower end takes the smaller of the first two; diffusivity ±10 %",
        source: "IEC 60079-10-1:2020 Annex B (from memory); laminar plate; Stefan; natural convection (McAdams, from memory)",
    },
    Known {
        id: "stagnant_column",
        equation: "1/k = 1/k(film) + h/D, h the freeboard",
        valid_range: "still air below the rim; where h is less than half the width the film alone is the upper end",
        source: "Stefan's tube",
    },
    Known {
        id: "evaporative_cooling",
        equation: "(h + 5.5 W/(m2 K)) (Ta - T) = sum N H, h = k rho cp (Sc/Pr)^(2/3)",
        valid_range: "steady, nothing from below; a heated liquid is held at its temperature",
        source: "Chilton, Colburn 1934; radiation near room temperature",
    },
    Known {
        id: "boiling_rate",
        equation: "rate = heater's power / heat of vaporisation",
        valid_range: "at the boiling point; all heat goes into vapour; heat of vaporisation ±3 %",
        source: "energy balance",
    },
    Known {
        id: "ignition_reach",
        equation: "r = (V/(s L pi h))^(1/2), V all vapour given off; no less than (G/(pi u s L))^(1/2), G its first rate in air of the lowest speed u",
        valid_range: "vapour heavier than air; s half of the lower limit L, h 0.3 m",
        source: "judgement; two-zone model (structure seen in an abstract of Nicas 2024)",
    },
    Known {
        id: "hot_surface",
        equation: "Ta - ts >= 50 K; halogenated vapour: ts <= 350 Cel; ts hottest surface, Ta lowest autoignition of the parts",
        valid_range: "the lower of both tables less 10 K; parts without a published figure are not assessed",
        source: "IEC 60079-20-1:2010, NFPA 497:2008 (copies); margin: judgement",
    },
    Known {
        id: "room_over_time",
        equation: "dv/dt = G - E n v; mixed v/V, floor layer v/(A d), near v/V + G/(pi r^2 u)",
        valid_range: "G constant within each interval; E mixing effectiveness, n air changes, d depth of the layer",
        source: "mass balance",
    },
    Known {
        id: "two_zones",
        equation: "V dc/dt = G - n V c; near c + G/(pi r^2 u); never above saturation",
        valid_range: "radius r of the near zone at which the person is, air speed u within its range; no mixing factor on n",
        source: "two-zone model (structure seen in an abstract of Nicas 2024)",
    },
    Known {
        id: "exposure_averages",
        equation: "worst 15 minutes and 8 hours: sum(c t)/T; several vapours: sum(c/L)",
        valid_range: "a stay shorter than the reference time counts with nothing for the rest",
        source: "EH40/2005 (from memory); 29 CFR 1910.1000(d)",
    },
    Known {
        id: "spill_pool",
        equation: "area = volume/depth",
        valid_range: "1 mm on a smooth floor (checks 0.7 mm), rough 2 mm, absorbent 5 mm; no larger than the free floor",
        source: "judgement",
    },
    Known {
        id: "vessel_fill",
        equation: "share of the capacity (open, heated); depth x mouth area and an amount (burnt)",
        valid_range: "straight-sided vessels",
        source: "rules of this project (judgement)",
    },
    Known {
        id: "heat_release",
        equation: "Q = m A H x; m mass flux, A burning surface, H heat of combustion (water as vapour), x share set free",
        valid_range: "m: vessels to 20 cm by a range, 30 cm and wider by table and measured pans, between them straight in the logarithms; x to 1 at the upper end",
        source: "definition; US NRC NUREG-1805 (copy), MaCFP data base (seen), small vessels derived",
    },
    Known {
        id: "flame_height",
        equation: "l = 0.235 Q^(2/5) - 1.02 D; 42 D (m/(rho (g D)^(1/2)))^0.61: the higher one; of a wick the first",
        valid_range: "mean height in still air; flames with less than two mouth widths between them as one",
        source: "Heskestad; Thomas; as in US NRC NUREG-1805",
    },
    Known {
        id: "radiant_flux",
        equation: "q = x Q/(4 pi R^2)",
        valid_range: "point source; x 0.2 to 0.3 for short alcohols, 0.3 to 0.4 for others",
        source: "point source; 30 cm pans: ethanol 0.26, propanone 0.31 (seen)",
    },
    Known {
        id: "radiant_dose",
        equation: "q^(4/3) t at most 35 (kW/m2)^(4/3) s; bare skin hurts at 115",
        valid_range: "flash: fireball of 0.45 M^(1/3) s; spill alight: 0.7 mm deep, upper rate, less the pool's radius",
        source: "fit to the Handbook of Chemical Hazard Analysis Procedures (1989), table 4.2 (copy); within 10 % of API Std 521 (memory)",
    },
    Known {
        id: "burning_time",
        equation: "t = mass/(A m)",
        valid_range: "until it burns dry or goes out; in glass with much freeboard longer, or it goes out by itself",
        source: "mass balance",
    },
    Known {
        id: "burning_of_a_mixture",
        equation: "parts leave in the shares in which they stand over it at its boiling point; out when s H < L, s 0.1 to 0.3, H heat of combustion and L of vaporisation of what leaves",
        valid_range: "volatilities at the first boiling point; s judgement",
        source: "Rayleigh's relation; fire point after Rasbash 1976 (memory)",
    },
    Known {
        id: "stoichiometry",
        equation: "C + O2, H + O2/4, S + O2, less O/2; gases in the free room, n air changes",
        valid_range: "complete combustion; the upper end counts nothing as carried off",
        source: "mass balance",
    },
    Known {
        id: "cooling",
        equation: "C dT/dt = -(h A (T - Ta) + e s A (T^4 - Ta^4) + G (T - Ta)); h natural convection of a vertical wall, G conduction to what it stands on",
        valid_range: "one temperature in the wall: Biot number at most 0.3",
        source: "Churchill, Chu 1975 (memory); emissivity 0.9",
    },
    Known {
        id: "thermal_shock",
        equation: "dT = S (1 - n)/(E a)",
        valid_range: "constrained plate; S 15 MPa in use, 7 MPa scratched, 30 MPa for porcelain (judgement)",
        source: "elastic plate; ISO 3585 (copy), EN 572-1 (memory)",
    },
    Known {
        id: "degree_of_filling",
        equation: "the lower of (a) 90, 92, 94, 96, 98 % at 15 Cel for a boiling point below 60, 100, 200, 300 Cel and above, and (b) 98 %/(1 + a (50 Cel - tF)), a = (d15 - d50)/(35 K d50)",
        valid_range: "filled at tF, at most 50 Cel; volumes at 20 Cel are brought to tF by the densities; the boiling point at its low end, the lowest where it is not known",
        source: "ADR 4.1.1.4 (text of 2013 seen), written for carriage by road",
    },
    Known {
        id: "liquid_expansion",
        equation: "V(t)/V(20 Cel) = sum of f_i d_i(20 Cel)/d_i(t), f_i shares of volumes measured apart",
        valid_range: "the range of each density equation; what it expands by ±6 % or the spread of the published equations, ±20 % from a single density, 20 % more outside a range, mixtures 10 % more, with water 30 %",
        source: "the publication of each set, in `sources`; ideal mixing widened (judgement)",
    },
    Known {
        id: "closed_pressure",
        equation: "p(t2) + (P - p(t1)) (g1/g2) (T2/T1) - P, g the share of the capacity that is gas",
        valid_range: "ideal gas; closed at t1 with saturated vapour and air at P; no air dissolves, nothing stretches; upper p(t2), lower p(t1), largest expansion",
        source: "ideal gas law",
    },
    Known {
        id: "order_by_criteria",
        equation: "first criterion whose ranges do not overlap; liquids joined by overlapping ranges tie in it and go on to the next; begun again within each group",
        valid_range: "criteria in their listed order; unfavourable ends; liquids without a figure of a criterion have no place",
        source: "rules of this project (judgement)",
    },
    Known {
        id: "vapour_in_refrigerator",
        equation: "share = min(V/V_inside, p/P), V all of it as vapour",
        valid_range: "all the liquid leaks out; saturated at the refrigerator's temperature at most",
        source: "mass balance",
    },
    Known {
        id: "thin_gas",
        equation: "P = g A h nu exp(-E/(k T)); share = P/sum P",
        valid_range: "a thin gas of free atoms; honest for lithium and sodium, and for where most of the light of potassium, rubidium and caesium is; not where bands of molecules dominate",
        source: "Boltzmann distribution; levels and probabilities of each line in `sources`, ±3 % to the ground state, ±25 % else (judgement)",
    },
    Known {
        id: "chromaticity",
        equation: "x = X/(X+Y+Z), y = Y/(X+Y+Z), X = sum P x_bar; efficacy = 683 lm/W sum(P V)/sum P",
        valid_range: "lithium and sodium as a thin gas, without the light of the flame itself",
        source: "CIE 1931 standard observer, 2 degrees (ISO/CIE 11664-1)",
    },
    Known {
        id: "instrument_view",
        equation: "I(l) = sum P R exp(-4 ln 2 ((l - l_i)/w)^2), w the resolution, R the response",
        valid_range: "lines as a Gaussian slit shows them; the shapes of bands are not known",
        source: "definition of the full width at half height",
    },
    Known {
        id: "identification",
        equation: "e = sum ln(w f(peak) W / sum w) over what is met + sum ln(1 - 0.9 w) over what is missing; elements are taken while e > ln(10 peaks)",
        valid_range: "ten elements, tolerances up to 10 nm; a peak meets a line within the tolerance, a band within half its width and half the tolerance; weights and bounds are judgement",
        source: "judgement, tried on synthetic spectra (see the guide on flame colours)",
    },
    Known {
        id: "flame_temperature",
        equation: "sum n_i h_i(T) = H(fuel, air) - lost share x lower heat; n_i by equilibrium of CO2, CO, H2O, H2, OH, H, O, O2, N2, NO",
        valid_range: "methanol, ethanol, propan-2-ol in dry air at constant pressure; losses of 10 to 40 % are judgement",
        source: "McBride, Gordon, Reno, NASA TM-4513 (1993)",
    },
];
