package quantity

// Conversion factors to base units, each written as its exact definition so
// that none carries a rounding of ours. NIST Handbook 44, Appendix C, section 4
// gives the inch, pound and gallon families; NIST SP 811 (2008), Appendix B,
// the pressures. The compiler keeps these constants exact until they are used.
const (
	inchMM = 25.4 // exact: international inch, 1 July 1959
	footMM = 12 * inchMM

	poundG = 453.59237 // exact: international avoirdupois pound, 1 July 1959
	ounceG = poundG / 16

	inch3ML      = (inchMM / 10) * (inchMM / 10) * (inchMM / 10)
	foot3ML      = 1728 * inch3ML
	gallonML     = 231 * inch3ML // exact: US liquid gallon of 231 cubic inches
	quartML      = gallonML / 4
	pintML       = gallonML / 8
	cupML        = gallonML / 16
	fluidOunceML = gallonML / 128
	tablespoonML = fluidOunceML / 2
	teaspoonML   = fluidOunceML / 6

	// Imperial gallon: Weights and Measures Act 1985 (UK), schedule 1, 4.54609 L
	// exactly; its parts are 4 quarts, 8 pints and 160 fluid ounces.
	impGallonML     = 4546.09
	impQuartML      = impGallonML / 4
	impPintML       = impGallonML / 8
	impFluidOunceML = impGallonML / 160
	impCupML        = impPintML / 2 // common practice, no source: half a pint

	gravity   = 9.80665 // m/s², exact: standard acceleration of free fall
	psiKPA    = poundG / 1000 * gravity / (inchMM / 1000) / (inchMM / 1000) / 1000
	mercury   = 13595.1 // kg/m³, the conventional density behind SP 811's inHg
	inchHgKPA = mercury * gravity * (inchMM / 1000) / 1000
	atmKPA    = 101.325 // exact: standard atmosphere
	torrKPA   = atmKPA / 760

	minuteS = 60
	hourS   = 60 * minuteS
	dayS    = 24 * hourS
	weekS   = 7 * dayS
	// The mean month of the Gregorian calendar, 365.2425 d / 12. A shelf life
	// that must end on a calendar day is counted with a calendar instead.
	monthS = 365.2425 / 12 * dayS

	fahrenheitC = 5.0 / 9 // °C per °F; zero of the scale at 32 °F
	kelvinZero  = 273.15  // K at 0 °C, exact
)
