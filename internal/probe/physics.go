package probe

import (
	"math"

	"fillwright/internal/vessel"
)

// A fill or a vent moves the gas temperature the way the pressure goes: for an
// adiabatic change without heat from the wall, d ln T = (κ−1)/κ · d ln p at the
// most where the inflow is as warm as the gas (first law for an open vessel;
// κ = 1.4). What contradicts that by far is the sensor's fault.
const (
	looksBack   = 20   // seconds over which pressure and bead are compared
	risesBy     = 1.3  // ratio of absolute pressures that must show in the bead
	contraryK   = 3.0  // against the expected sense: reversed leads
	stillK      = 1.0  // no move at all, from then to now nor between: a bead by the inlet warms and is blown cold again
	spanK       = 1.5  // … with its noise
	stillRises  = 1.5  // though the pressure rose by so much
	hotterShare = 0.45 // of T·ln(p₂/p₁): more than any fill can heat
	hotterK     = 12.0 // with so much on top
	restedS     = 8    // seconds of rest before looksBack
	restedK     = 1.5
	evidenceN   = 3 // seconds in a row
)

// judgeGas compares the gas probe with the pressure.
func (w *watch) judgeGas(b *Bank) {
	if w.gas < 0 || w.press < 0 {
		return
	}
	bead, p := &w.sensors[w.gas].past, &w.sensors[w.press].past
	now, then := bead.ago(0), bead.ago(looksBack)
	ratio := (p.ago(0) + w.ambient) / (p.ago(looksBack) + w.ambient)
	if math.IsNaN(now-then) || math.IsNaN(ratio) || b.readings[w.press].Health != HealthGood || ratio <= 0 {
		return
	}
	m := &w.sensors[w.gas]
	move := now - then
	if ratio < 1 { // a vent is a fill backwards
		ratio, move = 1/ratio, -move
	}
	thermo := b.sensors[w.gas].letter != nil
	rested := w.rested()
	still := math.Abs(move) < stillK && bead.span(looksBack) < spanK
	w.reversedN = count(w.reversedN, rested && ratio > risesBy && move < -contraryK && thermo)
	w.shortN = count(w.shortN, rested && ratio > risesBy && still && thermo && w.atCold(b, now))
	hot := ratio < 1.05 || now > then
	against := rested && ratio > stillRises && still ||
		hot && now-then > hotterShare*then*math.Log(ratio)+hotterK && now > w.hottestWall(b)+5
	w.againstN = count(w.againstN, against)
	switch {
	case w.reversedN >= evidenceN:
		m.latch = HealthReversed
	case w.shortN >= evidenceN:
		m.latch = HealthShorted
	case ratio > risesBy && move > contraryK && (m.latch == HealthReversed || m.latch == HealthShorted):
		m.latch = HealthUnknown // it has been mended
	}
	switch {
	case w.againstN >= evidenceN:
		m.doubts[doubtBalance] = HealthContradicts
		w.sensors[w.press].doubts[doubtBalance] = HealthContradicts
	case ratio > risesBy && move > contraryK && !against, w.rests(b):
		m.doubts[doubtBalance], w.sensors[w.press].doubts[doubtBalance] = HealthUnknown, HealthUnknown
	}
}

// rested says that pressure and bead stood still before the time that is
// looked back to. Only from rest must the gas go the pressure's way: in the
// middle of a fill the wall cools it while the pressure still rises.
func (w *watch) rested() bool {
	p, g := &w.sensors[w.press].past, &w.sensors[w.gas].past
	before := (p.ago(looksBack) + w.ambient) / (p.ago(looksBack+restedS) + w.ambient)
	return math.Abs(before-1) < 0.03 && math.Abs(g.ago(looksBack)-g.ago(looksBack+restedS)) < restedK
}

// rests says that pressure and bead have not moved for a minute.
func (w *watch) rests(b *Bank) bool {
	p, g := &w.sensors[w.press].past, &w.sensors[w.gas].past
	return math.Abs(p.ago(0)-p.ago(secondsMost-2)) < 0.005*b.sensors[w.press].fullPa && math.Abs(g.ago(0)-g.ago(secondsMost-2)) < 1
}

func count(n int, yes bool) int {
	if yes {
		return min(n+1, evidenceN)
	}
	return 0
}

// atCold says whether a temperature is the cold junction's: leads that touch
// make no emf.
func (w *watch) atCold(b *Bank, tempK float64) bool {
	return math.Abs(tempK-b.coldK) < stillK
}

// hottestWall is the hottest good wall or air reading, −Inf without any.
func (w *watch) hottestWall(b *Bank) float64 {
	most := math.Inf(-1)
	for i := range b.readings {
		r := &b.readings[i]
		if (r.Role == vessel.RoleWall || r.Role == vessel.RoleAmbient) && r.Health == HealthGood {
			most = math.Max(most, r.Value)
		}
	}
	return most
}

// A wall that cools while the gas inside heats by so much has swapped leads. Gas
// that was colder than the air, as a vent leaves it, heats by what it takes from
// the wall: of that a wall cools.
const (
	wallBack  = 60
	wallGasK  = 12.0
	wallFallK = 3.0
)

// airK is the air around the vessel, or around the logger where that is colder.
func (b *Bank) airK() float64 {
	least := b.coldK
	for i := range b.readings {
		if r := &b.readings[i]; r.Role == vessel.RoleAmbient && r.Health == HealthGood && !(least <= r.Value) {
			least = r.Value
		}
	}
	return least
}

// judgeWalls compares each wall sensor with the gas.
func (w *watch) judgeWalls(b *Bank) {
	if w.gas < 0 || b.readings[w.gas].Health != HealthGood {
		return
	}
	g := &w.sensors[w.gas].past
	rise, cold := g.ago(0)-g.ago(wallBack), g.ago(wallBack) < b.airK()-gasPartedK
	for i := range w.sensors {
		n := &b.sensors[i]
		if n.channel.Role != vessel.RoleWall || n.letter == nil {
			continue
		}
		m := &w.sensors[i]
		move := m.past.ago(0) - m.past.ago(wallBack)
		switch {
		case rise > wallGasK && move < -wallFallK && !cold:
			m.latch = HealthReversed
		case rise > wallGasK && move > wallFallK && m.latch == HealthReversed:
			m.latch = HealthUnknown
		}
	}
}

// Sensors on a vessel that has stood vented for long agree: the gas lies
// between the walls and the air, and no wall is colder than all the others.
const (
	ventedMostPa = 0.3e5
	ventedLongS  = 900.0
	partedS      = 120.0
	gasPartedK   = 4.0
	wallColdK    = 6.0
	wallHotK     = 45.0
)

// judgePlaces finds a sensor that has parted from the others.
func (w *watch) judgePlaces(b *Bank, timeS float64) {
	vented := w.press >= 0 && b.readings[w.press].Health == HealthGood && b.readings[w.press].Value < ventedMostPa
	if !vented {
		w.ventedS = math.NaN()
	} else if math.IsNaN(w.ventedS) {
		w.ventedS = timeS
	}
	long := timeS-w.ventedS >= ventedLongS
	for i := range w.sensors {
		role := b.sensors[i].channel.Role
		if role != vessel.RoleGas && role != vessel.RoleWall {
			continue
		}
		if !long {
			w.parted[i] = math.NaN()
			continue // what was found stays until the vessel stands vented again
		}
		m := &w.sensors[i]
		if !w.apart(b, i) {
			w.parted[i], m.doubts[doubtPlace] = math.NaN(), HealthUnknown
			continue
		}
		if math.IsNaN(w.parted[i]) {
			w.parted[i] = timeS
		}
		if timeS-w.parted[i] >= partedS {
			m.doubts[doubtPlace] = HealthDrift
		}
	}
}

// apart says whether a sensor lies outside of what two or more others leave.
func (w *watch) apart(b *Bank, i int) bool {
	least, most, n := math.Inf(1), math.Inf(-1), 0
	for k := range b.readings {
		r := &b.readings[k]
		if k == i || r.Health != HealthGood || r.Role != vessel.RoleWall && r.Role != vessel.RoleAmbient && r.Role != vessel.RoleGas {
			continue
		}
		least, most, n = math.Min(least, r.Value), math.Max(most, r.Value), n+1
	}
	v := b.readings[i].Value
	if n < 2 || math.IsNaN(v) {
		return false
	}
	if b.readings[i].Role == vessel.RoleGas {
		return v < least-gasPartedK || v > most+gasPartedK
	}
	return v < least-wallColdK || v > most+wallHotK
}

// The logger's terminals follow the air, a little warmer by its electronics.
const (
	coldFromAirK = 15.0
	coldFastK    = 4.0 // a minute
	coldHoldS    = 60.0
)

// judgeCold doubts a cold junction that is far from the air or moves fast.
func (w *watch) judgeCold(b *Bank, timeS float64) {
	if w.cold < 0 {
		return
	}
	m := &w.sensors[w.cold]
	air := math.NaN()
	if w.air >= 0 {
		air = b.readings[w.air].Value
	}
	v := b.readings[w.cold].Value
	fast := math.Abs(m.past.ago(0)-m.past.ago(60)) > coldFastK
	if !(math.Abs(v-air) > coldFromAirK) && !fast {
		w.coldS = math.NaN()
		m.doubts[doubtPlace] = HealthUnknown
		return
	}
	if math.IsNaN(w.coldS) {
		w.coldS = timeS
	}
	if fast || timeS-w.coldS >= coldHoldS {
		m.doubts[doubtPlace] = HealthColdDoubt
	}
}
