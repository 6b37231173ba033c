package probe

// healthWords holds, for each Health, its name, what it means and what to do.
var healthWords = [...]struct{ name, means, do string }{
	HealthUnknown:        {"no reading", "nothing was read yet", "Wait a moment; check that the logger is sending."},
	HealthGood:           {"good", "", ""},
	HealthOpen:           {"open", "the circuit is open", "Check the plug and the wire."},
	HealthOutOfRange:     {"out of range", "the value can't be true here", "Check the sensor, its kind and its place."},
	HealthStale:          {"old", "no new value has come", "Check the cable and the logger."},
	HealthAtRail:         {"at its rail", "the pressure sensor's signal is at an electrical limit", "Check the sensor's plug, wire and supply."},
	HealthFrozen:         {"frozen", "the value does not move though others do", "Check the sensor and the logger."},
	HealthJump:           {"jumping", "the value moves faster than physics allows", "Check plug, wire and screening."},
	HealthNoColdJunction: {"no cold end", "the cold junction can't be read", "Check the logger's cold junction sensor."},
	HealthShort:          {"short", "the input is shorted to ground or supply", "Check the wire for damage and touching metal."},
	HealthFault:          {"logger fault", "the logger reports a fault here", "Check the logger and its supply."},
	HealthUnbound:        {"not on the logger", "the logger has no such channel, or one of another kind", "Compare the profile's channels with the logger's."},

	HealthShortGround: {"at ground", "the signal lies at ground: shorted to it, or the signal wire is broken", "Check the signal wire and the sensor's supply."},
	HealthShortSupply: {"at the supply", "the signal lies at the supply: shorted to it, or the ground wire is broken", "Check the ground wire, and the signal wire against the supply."},
	HealthReversed:    {"reversed", "it seems to cool as it must warm: the thermocouple's leads are swapped", "Swap the two leads at the plug or the terminal."},
	HealthShorted:     {"leads touch", "it reads the cold junction and not the gas: the leads touch somewhere", "Look for bare or crushed wire between plug and probe."},
	HealthNoisy:       {"noisy", "it scatters far more than before", "Check plug, screen and wire; keep radios and pumps away."},
	HealthDrift:       {"drifts apart", "it has parted from sensors that should agree with it", "Check its place; find its offset again: fillwright offsets."},
	HealthColdDoubt:   {"cold end doubtful", "the logger's terminals are far from the air's temperature or change fast: sun, draught or a bad sensor", "Put the logger into the shade and out of the wind; wait ten minutes."},
	HealthContradicts: {"contradicts", "pressure and gas temperature can't both be true", "Look at a second gauge; trust neither until they agree."},
}

func (h Health) known() Health {
	if int(h) >= len(healthWords) {
		return HealthUnknown
	}
	return h
}

// String is a short name for people: "open".
func (h Health) String() string { return healthWords[h.known()].name }

// Means says in a few words what is the case; empty for HealthGood.
func (h Health) Means() string { return healthWords[h.known()].means }

// Do says what to do, one short imperative sentence; empty for HealthGood.
func (h Health) Do() string { return healthWords[h.known()].do }
