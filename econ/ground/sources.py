"""The bibliography: key -> publisher, document, table. Everything that cites uses these keys."""

SOURCES = {
    "abramowitz_stegun": "Abramowitz and Stegun, Handbook of Mathematical Functions, NBS Applied "
    "Mathematics Series 55 (1964), chapter 26",
    "afdc": "US Department of Energy, Alternative Fuels Data Center, Properties of Fuels and "
    "Gasoline and Diesel Gallon Equivalency Methodology (GREET 2013)",
    "asae_ep496": "ASAE EP496.3, Agricultural Machinery Management, 6.3.2.1, quoted by R. "
    "Grisso, Virginia Cooperative Extension",
    "astm_d341": "ASTM D341, Viscosity-Temperature Equations and Charts for Liquid Petroleum or "
    "Hydrocarbon Products, equations 1 to 3",
    "astm_d6448": "ASTM D6448, Specification for Industrial Burner Fuels from Used Lubricating "
    "Oils, 1.1",
    "astm_d7152": "ASTM D7152, Calculating Viscosity of a Blend of Petroleum Products, 5.3-5.4",
    "astm_d93": "ASTM D93, Flash Point by Pensky-Martens Closed Cup Tester",
    "astm_d975": "ASTM D975, Specification for Diesel Fuel, table 1",
    "astm_e1057": "ASTM E1057, Measuring Internal Rate of Return and Adjusted Internal Rate of "
    "Return to Investments in Buildings",
    "astm_e1121": "ASTM E1121, Measuring Payback for Investments in Buildings, 5.2-5.3",
    "astm_e964": "ASTM E964, Measuring Benefit-to-Cost and Savings-to-Investment Ratios, 1.3",
    "ato_recycled": "Australian Taxation Office, Excise on recycled petroleum products; ATO ID "
    "2011/68",
    "bayes_rules": "Johnson, Ott and Dogucu, Bayes Rules! An Introduction to Applied Bayesian "
    "Modeling (2022), chapter 5",
    "bls_cpi_u": "BLS, Consumer Price Index for All Urban Consumers, all items, US city average "
    "(series CUUR0000SA0), annual averages",
    "ca_hsc_25250_4": "California Health and Safety Code, 25250.4(a): used oil shall be managed "
    "as a hazardous waste, with exceptions",
    "canada_used_oil": "Environment and Climate Change Canada, Follow-up report on used "
    "crankcase oils, chapter 4",
    "cfr_1090_305": "40 CFR 1090.305, ULSD standards: at most 15 ppm sulfur",
    "cfr_110": "40 CFR 110.3 and 110.6, Discharge of oil: a film or sheen upon the water, notice",
    "cfr_112_1": "40 CFR 112.1(d)(2)(ii), Oil Pollution Prevention, general applicability",
    "cfr_279_10": "40 CFR 279.10, used oil management standards, applicability; (b)(1) halogens, "
    "(d) mixtures with fuel",
    "cfr_279_11": "40 CFR 279.11, used oil specifications, table 1",
    "cfr_279_12": "40 CFR 279.12, prohibitions on use of used oil",
    "cfr_279_20": "40 CFR 279.20(a), used oil generators: (3) mixtures with diesel fuel, (4) "
    "farmers",
    "cfr_279_22": "40 CFR 279.22, used oil storage by generators",
    "cfr_279_23": "40 CFR 279.23, on-site burning in space heaters",
    "cfr_279_24": "40 CFR 279.24, off-site shipments of used oil",
    "cfr_279_42": "40 CFR 279.42, notification and EPA identification number of used oil "
    "transporters",
    "cfr_279_50": "40 CFR 279.50, used oil processors and re-refiners, applicability",
    "cfr_279_61": "40 CFR 279.61, restrictions on burning off-specification used oil",
    "cfr_30_250_610": "30 CFR 250.510 and 250.610, diesel engine air intakes: a device to shut "
    "down a runaway engine",
    "cfr_436": "10 CFR 436, Federal Energy Management, 436.14 to 436.23",
    "cfr_60_4207": "40 CFR 60.4207(b), fuel for stationary compression-ignition engines",
    "cfr_761_20": "40 CFR 761.20(e), PCBs in used oil burned for energy, cited in 40 CFR 279.11",
    "cfr_80_522": "40 CFR 80.522, May used motor oil be dispensed into diesel motor vehicles or "
    "nonroad diesel engines?: title read in the list of part 80, subpart I; text from memory; "
    "part 80's diesel rules were moved to part 1090, where its clause was not found",
    "cfr_98_c1": "40 CFR 98, Table C-1, default heat contents and emission factors",
    "common_practice": "common practice, no source",
    "cpsc_generators": "US Consumer Product Safety Commission, Carbon Monoxide: Portable "
    "Generators, 20 feet from the house; from memory",
    "cyclohexane_hexadecane": "Measured viscosity of cyclohexane in n-hexadecane at 45 °C, J. "
    "Chem. Eng. Data (doi 10.1021/je9000262), open ThermoML copy",
    "eccc_biodiesel": "Environment and Climate Change Canada open product database (2021) by way "
    "of NOAA's oil data set: neat biodiesels and blends at 0 and 15 °C, records EC01487, "
    "EC01001 and their blends",
    "eia_diesel": "EIA, Weekly Retail Gasoline and Diesel Prices, No. 2 diesel, all US (series "
    "EMD_EPD2D_PTE_NUS_DPG), weeks of 1994 to 2026",
    "eia_gasoline_diesel": "EIA, weekly retail gasoline with No. 2 diesel, 1994 to 2016: "
    "correlation by weeks, over 52 weeks, by years",
    "epa_capacity": "US EPA, SPCC guidance, What is considered bulk oil storage capacity?",
    "epa_diesel_slides": "US EPA, Compliance Overview, Motor Vehicle Diesel Fuel Rule (slides): "
    "prevent use of used motor oil in model year 2007 and later vehicles",
    "epa_mixing": "US EPA, What are Used Oil Mixing Requirements?, fact sheet, July 1997",
    "epa_nr005": "US EPA, NR-005 (EPA420-P-04-005), Median Life, Annual Activity, and Load "
    "Factor Values for Nonroad Engine Emissions Modeling",
    "epa_used_oil_1983": "US EPA, report on used oil samples (NEPIS 2000Z97C, 1983), appendix A: "
    "benzene, toluene, xylenes and 1,1,1-trichloroethane among what was looked for",
    "epa_waste_oil_heaters": "US EPA, abstract of tests on two waste-oil heaters: aromatics and "
    "metals, a potentially serious health hazard",
    "excel_mirr": "Definition of the modified internal rate of return, worksheet function MIRR",
    "from_memory": "from memory",
    "health_space_heaters": "State health department, Supplemental Space Heaters: vent, alarm, "
    "never gasoline",
    "hu_burns_1970": "Hu and Burns, New method predicts cloud, pour, flash points of distillate "
    "blends, as tabulated in refinery practice",
    "iarc_100f": "IARC Monographs, volume 100F: mineral oils, untreated or mildly treated, group 1",
    "iarc_105": "IARC Monographs, volume 105: diesel engine exhaust, group 1",
    "irs_mileage_2026": "US Internal Revenue Service, standard mileage rate 2026, 72.5 cents a "
    "mile",
    "irs_pub510": "IRS Publication 510, Excise Taxes, Blended taxable fuel: Forms 637 and 720, "
    "under 400 gallons of untaxed liquid in a calendar quarter",
    "irs_pub946": "IRS Publication 946, How To Depreciate Property, table A-1 (half-year)",
    "iso_3448": "ISO 3448, Industrial liquid lubricants, viscosity classification: VG 46 is 41.4 "
    "to 50.6 cSt at 40 °C",
    "isu_a3_29": "Iowa State University Extension, A3-29, Estimating Farm Machinery Costs",
    "janon_2014": "Janon and others, Asymptotic normality and efficiency of two Sobol index "
    "estimators, ESAIM: Probability and Statistics 18 (2014) 342-364",
    "joe_kuo_2008": "S. Joe and F. Y. Kuo, Constructing Sobol sequences with better "
    "two-dimensional projections, SIAM J. Sci. Comput. 30 (2008) 2635-2654",
    "judgement": "judgement, no source",
    "kerosene_table": "Kerosene safety data sheet (2004) and table of kinematic viscosities: 2.4 "
    "cSt at 20 °C, 0.804 kg/L",
    "ljubas_flash": "Ljubas, Krpan and Matanović, Influence of engine oils dilution by fuels on "
    "their viscosity, flash point and fire point, abstract",
    "mowrer_1989": "Mowrer et al., Heavy Truck Fuel System Safety Study, DOT HS 807 484 (1989)",
    "nbs_mp97": "C. S. Cragoe, Thermal Properties of Petroleum Products, NBS Miscellaneous "
    "Publication 97 (1929)",
    "nfpa_30": "NFPA 30, Flammable and Combustible Liquids Code, as given in the Intermediate "
    "Bulk Containers General Fact Sheet",
    "nfpa_70": "NFPA 70, National Electrical Code, 702.5, transfer equipment of optional standby "
    "systems; from memory",
    "nfpa_oily_rags": "US National Fire Protection Association, about 900 home fires a year from "
    "oily rags, second hand",
    "nist_hb135": "NIST Handbook 135, Life-Cycle Costing Manual for the Federal Energy "
    "Management Program",
    "nist_sp811": "NIST Special Publication 811, Guide for the Use of the SI, appendix B",
    "no_source_found": "no source found",
    "noaa_diesel": "Environment Canada oil catalogue by way of NOAA's oil data set, record "
    "AD02541, ultra low sulfur diesel: 0.834 kg/L, 2.6 cSt at 40 °C, flash 60 °C",
    "noaa_diesel_engine_oil": "Environment Canada oil catalogue by way of NOAA's oil data set, "
    "record AD02545, 15W-40 diesel engine oil: 112 cSt at 40 °C",
    "noaa_insulating_oil": "Environment Canada oil catalogue by way of NOAA's oil data set, "
    "electrical insulating oils AD02098, AD02095, AD02096, AD00346: flash 95 to 151 °C",
    "noaa_spindle_oil": "Environment Canada oil catalogue by way of NOAA's oil data set, spindle "
    "oil: flash 76 °C, the lowest of the thin lubricating oils there; none of this very kind "
    "found",
    "noaa_used_motor_oil": "Environment Canada oil catalogue by way of NOAA's oil data set, "
    "record AD00782, motor oil, used",
    "noaa_used_oil": "Environment Canada oil catalogue by way of NOAA's oil data set, record "
    "AD00696, auto engine oil, used",
    "noaa_virgin_oil": "Environment Canada oil catalogue by way of NOAA's oil data set, record "
    "AD00697, auto engine oil, virgin",
    "ontario_runaway": "Ontario, Alert: External fuel sources initiating diesel engine runaway, "
    "12 May 2025",
    "osha_1910_106": "29 CFR 1910.106, Flammable liquids: (a)(19) categories and heated use, "
    "(e)(6)(ii) bonding",
    "osha_1910_212": "29 CFR 1910.212(a)(4), machine guarding: revolving drums, barrels and "
    "containers",
    "osha_1926_252": "29 CFR 1926.252(e): solvent waste, oily rags and flammable liquids in fire "
    "resistant covered containers",
    "osha_1928_21": "29 CFR 1928.21(b): subparts B to T and Z of part 1910 do not apply to "
    "farms, with exceptions",
    "osha_stoddard": "OSHA, Chemical Sampling Information, Stoddard solvent; NIOSH and ACGIH "
    "limits there",
    "ozdalyan_2018": "Özdalyan and Orman, Energies 11 (2018) 1512, abstract",
    "pediatrics_2013": "Pediatric Hydrocarbon-Related Injuries in the United States: 2000-2009, "
    "Pediatrics, June 2013, as reported by the American Academy of Pediatrics",
    "pert": "Modified PERT distribution, shape 4: alpha = 1 + 4 (likely - low)/(high - low)",
    "raiffa_schlaifer_1961": "Raiffa and Schlaifer, Applied Statistical Decision Theory (1961), "
    "chapter 5",
    "sae_2003_01_3139": "SAE 2003-01-3139, Interaction Between Fuel Additive and Oil "
    "Contaminant: Field Experiences, quoted in Army Logistician",
    "saltelli_2008": "Saltelli and others, Global Sensitivity Analysis: The Primer (2008), "
    "first-order index",
    "spirits_sheet": "Mineral spirits safety data sheet: 0.79 at 60 °F, flash above 105 °F "
    "closed cup",
    "strong_2014": "Strong, Oakley and Brennan, Estimating multiparameter partial expected value "
    "of perfect information, Medical Decision Making 34 (2014) 311-326",
    "sudret_2008": "B. Sudret, Global sensitivity analysis using polynomial chaos expansions, "
    "Reliability Engineering and System Safety 93 (2008) 964-979",
    "supplier_charts": "suppliers' fuel charts, publisher not kept",
    "trade_articles": "trade articles, publisher not kept",
    "unit_injector_window": "One engine maker's guidance on fuel for unit injectors, in a diesel "
    "mechanics' text: 1.4-20 cSt, at most 66 °C",
    "usc_26_4041": "26 USC 4041(a)(1) and 4081(a)(2), tax on diesel fuel and special fuels: 24.3 "
    "and 0.1 cents a gallon",
    "usc_26_6421": "26 USC 6421, gasoline used on farms and off the highway: 18.3 cents a gallon "
    "federal, from memory; states add theirs",
    "usc_26_6715": "26 USC 6715, dyed fuel sold for use or used in taxable use",
    "usc_42_7522": "42 USC 7522(a)(3), Clean Air Act, prohibited acts",
    "usda_farm_labor": "USDA NASS, Farm Labor, April 2025",
    "used_mineral_oils": "Roadmap on Carcinogens, fact sheet Used Mineral Oils (2025): IARC "
    "group 1, skin contact",
    "used_oil_ash": "Trade data sheet of used engine oil, ash 0.5 to 1.5 % by mass",
    "wichura_1988": "M. J. Wichura, Algorithm AS 241: The percentage points of the normal "
    "distribution, Applied Statistics 37 (1988) 477-484",
    "wrrda_1049": "Water Resources Reform and Development Act of 2014, section 1049, farms and "
    "oil spill plans",
}
