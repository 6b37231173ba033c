package gas

import "math"

// At gives the state at a temperature and absolute pressure, or a *RangeError.
func (e *EOS) At(tempK, pressurePa float64) (State, error) {
	if err := e.checkTemp(tempK); err != nil {
		return State{}, err
	}
	if err := e.checkPressure(pressurePa); err != nil {
		return State{}, err
	}
	return e.State(tempK, e.DensityKgM3(tempK, pressurePa)), nil
}

// AtDensity gives the state at a temperature and density, or a *RangeError.
func (e *EOS) AtDensity(tempK, densityKgM3 float64) (State, error) {
	if err := e.checkTemp(tempK); err != nil {
		return State{}, err
	}
	if err := e.checkDensity(densityKgM3); err != nil {
		return State{}, err
	}
	return e.refuseBeyond(e.State(tempK, densityKgM3))
}

// AtEnergy gives the state at a density and internal energy, or a *RangeError.
func (e *EOS) AtEnergy(densityKgM3, uJKg float64) (State, error) {
	if err := e.checkDensity(densityKgM3); err != nil {
		return State{}, err
	}
	low, high := e.UJKg(TempLeastK, densityKgM3), e.UJKg(TempMostK, densityKgM3)
	if err := e.within(quantityEnergy, "J/kg", uJKg, low, high); err != nil {
		return State{}, err
	}
	return e.refuseBeyond(e.State(e.TemperatureFromUK(densityKgM3, uJKg), densityKgM3))
}

func (e *EOS) refuseBeyond(s State) (State, error) {
	if err := e.checkPressure(s.PressurePa); err != nil {
		return State{}, err
	}
	return s, nil
}

// AtPressureDensity gives the state at an absolute pressure and density, or a
// *RangeError: the temperature of a known mass in a known volume.
func (e *EOS) AtPressureDensity(pressurePa, densityKgM3 float64) (State, error) {
	if err := e.checkPressure(pressurePa); err != nil {
		return State{}, err
	}
	low, high := e.DensityKgM3(TempMostK, pressurePa), e.DensityKgM3(TempLeastK, pressurePa)
	if err := e.within(quantityDensity, "kg/m³", densityKgM3, low, high); err != nil {
		return State{}, err
	}
	return e.State(e.TemperatureFromPK(densityKgM3, pressurePa), densityKgM3), nil
}

// AtEnthalpy gives the state at an absolute pressure and enthalpy, or a
// *RangeError.
func (e *EOS) AtEnthalpy(pressurePa, hJKg float64) (State, error) {
	if err := e.checkPressure(pressurePa); err != nil {
		return State{}, err
	}
	low := e.HJKg(TempLeastK, e.DensityKgM3(TempLeastK, pressurePa))
	high := e.HJKg(TempMostK, e.DensityKgM3(TempMostK, pressurePa))
	if err := e.within(quantityEnthalpy, "J/kg", hJKg, low, high); err != nil {
		return State{}, err
	}
	tempK := e.TemperatureFromHK(pressurePa, hJKg)
	return e.State(tempK, e.DensityKgM3(tempK, pressurePa)), nil
}

// SettlePressurePa is the absolute pressure of a gas of the given density once
// it has come to tempK in its closed vessel, or NaN and a *RangeError.
func (e *EOS) SettlePressurePa(densityKgM3, tempK float64) (float64, error) {
	s, err := e.AtDensity(tempK, densityKgM3)
	if err != nil {
		return math.NaN(), err
	}
	return s.PressurePa, nil
}

// ThrottleK is the temperature after throttling from p1, T1 to p2 at constant
// enthalpy (Joule–Thomson), absolute pressures: what a supply at p1 delivers
// behind a valve. It gives NaN and a *RangeError when either side is out of range.
func (e *EOS) ThrottleK(pressure1Pa, temp1K, pressure2Pa float64) (float64, error) {
	before, err := e.At(temp1K, pressure1Pa)
	if err != nil {
		return math.NaN(), err
	}
	after, err := e.AtEnthalpy(pressure2Pa, before.HJKg)
	if err != nil {
		return math.NaN(), err
	}
	return after.TempK, nil
}
