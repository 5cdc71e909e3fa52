"""The bibliography: key -> publisher, document, table. Everything that cites uses these keys."""

SOURCES = {
    "afdc": "US Department of Energy, Alternative Fuels Data Center, Properties of Fuels and"
    " Gasoline and Diesel Gallon Equivalency Methodology (GREET 2013)",
    "asae_ep496": "ASAE EP496.3, Agricultural Machinery Management, 6.3.2.1, quoted by R. Grisso,"
    " Virginia Cooperative Extension",
    "astm_d341": "ASTM D341, Viscosity-Temperature Equations and Charts for Liquid Petroleum or"
    " Hydrocarbon Products, equations 1 to 3",
    "astm_d6448": "ASTM D6448, Specification for Industrial Burner Fuels from Used Lubricating"
    " Oils, 1.1",
    "astm_d7152": "ASTM D7152, Calculating Viscosity of a Blend of Petroleum Products, 5.3-5.4",
    "astm_d93": "ASTM D93, Flash Point by Pensky-Martens Closed Cup Tester",
    "astm_d975": "ASTM D975, Specification for Diesel Fuel, table 1",
    "astm_e1057": "ASTM E1057, Measuring Internal Rate of Return and Adjusted Internal Rate of"
    " Return to Investments in Buildings",
    "astm_e1121": "ASTM E1121, Measuring Payback for Investments in Buildings, 5.2-5.3",
    "astm_e964": "ASTM E964, Measuring Benefit-to-Cost and Savings-to-Investment Ratios, 1.3",
    "cfr_436": "10 CFR 436, Federal Energy Management, 436.14 to 436.23",
    "cfr_98_c1": "40 CFR 98, Table C-1, default heat contents and emission factors",
    "common_practice": "common practice, no source",
    "excel_mirr": "Definition of the modified internal rate of return, worksheet function MIRR",
    "from_memory": "from memory",
    "hu_burns_1970": "Hu and Burns, New method predicts cloud, pour, flash points of distillate"
    " blends, as tabulated in refinery practice",
    "irs_pub946": "IRS Publication 946, How To Depreciate Property, table A-1 (half-year)",
    "isu_a3_29": "Iowa State University Extension, A3-29, Estimating Farm Machinery Costs",
    "joe_kuo_2008": "S. Joe and F. Y. Kuo, Constructing Sobol sequences with better"
    " two-dimensional projections, SIAM J. Sci. Comput. 30 (2008) 2635-2654",
    "nbs_mp97": "C. S. Cragoe, Thermal Properties of Petroleum Products, NBS Miscellaneous"
    " Publication 97 (1929)",
    "nist_hb135": "NIST Handbook 135, Life-Cycle Costing Manual for the Federal Energy"
    " Management Program",
    "nist_sp811": "NIST Special Publication 811, Guide for the Use of the SI, appendix B",
    "pert": "Modified PERT distribution, shape 4: alpha = 1 + 4 (likely - low)/(high - low)",
    "wichura_1988": "M. J. Wichura, Algorithm AS 241: The percentage points of the normal"
    " distribution, Applied Statistics 37 (1988) 477-484",
}
