package gas

// airEquation is the equation of state of dry air:
// E. W. Lemmon, R. T Jacobsen, S. G. Penoncello, D. G. Friend: Thermodynamic
// Properties of Air and Mixtures of Nitrogen, Argon, and Oxygen from 60 to
// 2000 K at Pressures to 2000 MPa. J. Phys. Chem. Ref. Data 29:331 (2000).
// The coefficients were read in two independent open implementations and agree;
// the tests pin them to the values printed in the paper.
var airEquation = EOS{
	species:              Air,
	molarMassKgMol:       0.0289586,
	gasConstantJMolK:     8.31451,
	tempReducingK:        132.6312,
	densityReducingMolM3: 10447.7,
	ideal: idealPart{
		logTau: 2.490888032,
		powers: []idealPower{
			{n: 6.057194e-08, t: -3},
			{n: -2.10274769e-05, t: -2},
			{n: -0.000158860716, t: -1},
			{n: -13.841928076, t: 0},
			{n: 17.275266575, t: 1},
			{n: -0.00019536342, t: 1.5},
		},
		einstein: []idealEinstein{
			{n: 0.791309509, theta: 25.36365},
			{n: 0.212236768, theta: 16.90741},
		},
		softplus: []idealSoftplus{{n: -0.197938904, theta: 87.31279, c: 2.0 / 3}},
	},
	terms: []term{
		{n: 0.118160747229, d: 1, t: 0},
		{n: 0.713116392079, d: 1, t: 0.33},
		{n: -1.61824192067, d: 1, t: 1.01},
		{n: 0.0714140178971, d: 2, t: 0},
		{n: -0.0865421396646, d: 3, t: 0},
		{n: 0.134211176704, d: 3, t: 0.15},
		{n: 0.0112626704218, d: 4, t: 0},
		{n: -0.0420533228842, d: 4, t: 0.2},
		{n: 0.0349008431982, d: 4, t: 0.35},
		{n: 0.000164957183186, d: 6, t: 1.35},
		{n: -0.101365037912, d: 1, t: 1.6, l: 1},
		{n: -0.17381369097, d: 3, t: 0.8, l: 1},
		{n: -0.0472103183731, d: 5, t: 0.95, l: 1},
		{n: -0.0122523554253, d: 6, t: 1.25, l: 1},
		{n: -0.146629609713, d: 1, t: 3.6, l: 2},
		{n: -0.0316055879821, d: 3, t: 6, l: 2},
		{n: 0.000233594806142, d: 11, t: 3.25, l: 2},
		{n: 0.0148287891978, d: 1, t: 3.5, l: 3},
		{n: -0.00938782884667, d: 3, t: 15, l: 3},
	},
	transport: &airTransport,
}
