package gas

// nitrogenEquation is the equation of state of nitrogen:
// R. Span, E. W. Lemmon, R. T Jacobsen, W. Wagner, A. Yokozeki: A Reference
// Equation of State for the Thermodynamic Properties of Nitrogen.
// J. Phys. Chem. Ref. Data 29:1361 (2000).
// The coefficients were read in two independent open implementations and agree;
// the tests pin them to the values printed in the paper.
var nitrogenEquation = EOS{
	species:              Nitrogen,
	molarMassKgMol:       0.02801348,
	gasConstantJMolK:     8.31451,
	tempReducingK:        126.192,
	densityReducingMolM3: 11183.9,
	ideal: idealPart{
		logTau: 2.5,
		powers: []idealPower{
			{n: -12.76952708, t: 0},
			{n: -0.00784163, t: 1},
			{n: -0.0001934819, t: -1},
			{n: -1.247742e-05, t: -2},
			{n: 6.678326e-08, t: -3},
		},
		einstein: []idealEinstein{
			{n: 1.012941, theta: 26.657878470901483},
		},
	},
	terms: []term{
		{n: 0.924803575275, d: 1, t: 0.25},
		{n: -0.492448489428, d: 1, t: 0.875},
		{n: 0.661883336938, d: 2, t: 0.5},
		{n: -1.92902649201, d: 2, t: 0.875},
		{n: -0.0622469309629, d: 3, t: 0.375},
		{n: 0.349943957581, d: 3, t: 0.75},
		{n: 0.564857472498, d: 1, t: 0.5, l: 1},
		{n: -1.61720005987, d: 1, t: 0.75, l: 1},
		{n: -0.481395031883, d: 1, t: 2, l: 1},
		{n: 0.421150636384, d: 3, t: 1.25, l: 1},
		{n: -0.0161962230825, d: 3, t: 3.5, l: 1},
		{n: 0.172100994165, d: 4, t: 1, l: 1},
		{n: 0.00735448924933, d: 6, t: 0.5, l: 1},
		{n: 0.0168077305479, d: 6, t: 3, l: 1},
		{n: -0.00107626664179, d: 7, t: 0, l: 1},
		{n: -0.0137318088513, d: 7, t: 2.75, l: 1},
		{n: 0.000635466899859, d: 8, t: 0.75, l: 1},
		{n: 0.00304432279419, d: 8, t: 2.5, l: 1},
		{n: -0.0435762336045, d: 1, t: 4, l: 2},
		{n: -0.0723174889316, d: 2, t: 6, l: 2},
		{n: 0.0389644315272, d: 3, t: 6, l: 2},
		{n: -0.021220136391, d: 4, t: 3, l: 2},
		{n: 0.00408822981509, d: 5, t: 3, l: 2},
		{n: -5.51990017984e-05, d: 8, t: 6, l: 2},
		{n: -0.0462016716479, d: 4, t: 16, l: 3},
		{n: -0.00300311716011, d: 5, t: 11, l: 3},
		{n: 0.0368825891208, d: 5, t: 15, l: 3},
		{n: -0.0025585684622, d: 8, t: 12, l: 3},
		{n: 0.00896915264558, d: 3, t: 12, l: 4},
		{n: -0.0044151337035, d: 5, t: 7, l: 4},
		{n: 0.00133722924858, d: 6, t: 4, l: 4},
		{n: 0.000264832491957, d: 9, t: 16, l: 4},
		{n: 19.6688194015, d: 1, t: 0, eta: 20, beta: 325, gamma: 1.16, epsilon: 1},
		{n: -20.911560073, d: 1, t: 1, eta: 20, beta: 325, gamma: 1.16, epsilon: 1},
		{n: 0.0167788306989, d: 3, t: 2, eta: 15, beta: 300, gamma: 1.13, epsilon: 1},
		{n: 2627.67566274, d: 2, t: 3, eta: 25, beta: 275, gamma: 1.25, epsilon: 1},
	},
	transport: &nitrogenTransport,
}
