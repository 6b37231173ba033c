package gas

// Transport coefficients of E. W. Lemmon, R. T Jacobsen: Viscosity and Thermal
// Conductivity Equations for Nitrogen, Oxygen, Argon, and Air. Int. J.
// Thermophys. 25:21 (2004); read in two independent open implementations. The
// critical pressures are those of the equations of state (for air the pressure
// at the maxcondentherm, as in the paper); from memory, and pinned by the
// paper's check value in the critical region.

var airTransport = transport{
	sigmaNM:  0.36,
	epsilonK: 103.3,
	omega:    [5]float64{0.431, -0.4623, 0.08406, 0.005341, -0.00331},
	viscosity: []transportTerm{
		{n: 10.72, d: 1, t: 0.2, l: 0},
		{n: 1.122, d: 4, t: 0.05, l: 0},
		{n: 0.002019, d: 9, t: 2.4, l: 0},
		{n: -8.876, d: 1, t: 0.6, l: 1},
		{n: -0.02916, d: 8, t: 3.6, l: 1},
	},
	diluteEta: 1.308,
	dilute: []transportTerm{
		{n: 1.405, t: -1.1},
		{n: -1.036, t: -0.3},
	},
	conductivity: []transportTerm{
		{n: 8.743, d: 1, t: 0.1, l: 0},
		{n: 14.76, d: 2, t: 0.0, l: 0},
		{n: -16.62, d: 3, t: 0.5, l: 2},
		{n: 3.793, d: 7, t: 2.7, l: 2},
		{n: -6.142, d: 7, t: 0.3, l: 2},
		{n: -0.3778, d: 11, t: 1.3, l: 2},
	},
	xi0NM:              0.11,
	gammaAmplitude:     0.055,
	cutoffNM:           0.31,
	tempReferenceK:     265.262,
	pressureCriticalPa: 3.78502e6,
}

var nitrogenTransport = transport{
	sigmaNM:  0.3656,
	epsilonK: 98.94,
	omega:    [5]float64{0.431, -0.4623, 0.08406, 0.005341, -0.00331},
	viscosity: []transportTerm{
		{n: 10.72, d: 2, t: 0.1, l: 0},
		{n: 0.03989, d: 10, t: 0.25, l: 1},
		{n: 0.001208, d: 12, t: 3.2, l: 1},
		{n: -7.402, d: 2, t: 0.9, l: 2},
		{n: 4.62, d: 1, t: 0.3, l: 3},
	},
	diluteEta: 1.511,
	dilute: []transportTerm{
		{n: 2.117, t: -1.0},
		{n: -3.332, t: -0.7},
	},
	conductivity: []transportTerm{
		{n: 8.862, d: 1, t: 0.0, l: 0},
		{n: 31.11, d: 2, t: 0.03, l: 0},
		{n: -73.13, d: 3, t: 0.2, l: 1},
		{n: 20.03, d: 4, t: 0.8, l: 2},
		{n: -0.7096, d: 8, t: 0.6, l: 2},
		{n: 0.2672, d: 10, t: 1.9, l: 2},
	},
	xi0NM:              0.17,
	gammaAmplitude:     0.055,
	cutoffNM:           0.4,
	tempReferenceK:     252.384,
	pressureCriticalPa: 3.3958e6,
}
