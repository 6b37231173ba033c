package calibrate

import "math"

// region4 are the coefficients of the saturation line of IAPWS-IF97 (Revised
// Release on the IAPWS Industrial Formulation 1997, table 34).
var region4 = [...]float64{
	0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2,
	0.12020824702470e5, -0.32325550322333e7, 0.14915108613530e2,
	-0.48232657361591e4, 0.40511340542057e6, -0.23855557567849,
	0.65017534844798e3,
}

// Least and greatest pressure of the saturation line in pascal: triple point
// and critical point (IAPWS-IF97, section 8.2).
const (
	saturationLeastPa = 611.213
	saturationMostPa  = 22.064e6
)

// BoilingK is the temperature in kelvin at which water boils at an absolute
// pressure in pascal (IAPWS-IF97, equation 31); NaN outside of 611.213 Pa to
// 22.064 MPa.
func BoilingK(absPa float64) float64 {
	if !(absPa >= saturationLeastPa && absPa <= saturationMostPa) {
		return math.NaN()
	}
	n, b := &region4, math.Sqrt(math.Sqrt(absPa/1e6))
	e := b*b + n[2]*b + n[5]
	f := n[0]*b*b + n[3]*b + n[6]
	g := n[1]*b*b + n[4]*b + n[7]
	d := 2 * g / (-f - math.Sqrt(f*f-4*e*g))
	return (n[9] + d - math.Sqrt((n[9]+d)*(n[9]+d)-4*(n[8]+n[9]*d))) / 2
}

// The lowest layer of the standard atmosphere (ICAO Doc 7488, ISO 2533).
const (
	seaLevelPa    = 101325.0
	seaLevelK     = 288.15
	lapseKM       = 0.0065
	gravityMS2    = 9.80665
	airJKgK       = 287.05287
	altitudeLeast = -1000.0
	altitudeMost  = 11000.0
)

// StandardPa is the pressure of the standard atmosphere in pascal at a
// geopotential altitude in metre, p₀·(1 − L·h/T₀)^(g/(R·L)); NaN outside of
// −1000 to 11000 m. The weather moves the true one by a few per cent.
func StandardPa(altitudeM float64) float64 {
	if !(altitudeM >= altitudeLeast && altitudeM <= altitudeMost) {
		return math.NaN()
	}
	return seaLevelPa * math.Pow(1-lapseKM*altitudeM/seaLevelK, gravityMS2/(airJKgK*lapseKM))
}
