package alarm

// Names of the alarms. They are stable: they stand in run logs and in JSON.
const (
	WallAbort     = "wall-abort"
	WallOver      = "wall-over"
	VentAdvised   = "vent-advised"
	WallMargin    = "wall-margin"
	SideSoft      = "side-soft"
	HoldLimit     = "hold-limit"
	PressureOver  = "pressure-over"
	PressureNear  = "pressure-near"
	TargetReached = "target-reached"
	RampHigh      = "ramp-high"
	Blind         = "blind"
	DataStale     = "data-stale"
	SensorIll     = "sensor-ill"
	LoggerIll     = "logger-ill"
	LoggerChanged = "logger-changed"
	LoggerRestart = "logger-restart"
	LogLost       = "log-lost"
	GasCold       = "gas-cold"
	Leak          = "leak"
	GasLoss       = "gas-loss"
	OutsideModel  = "outside-model"
	Reminder      = "reminder"
	Unsettled     = "reading-unsettled"
)

// Definition is one row of the table, as ISA-18.2 asks of a rationalised
// alarm: cause, consequence, the operator's action and the time for it.
type Definition struct {
	Name        string
	Group       string // alarms of one story; the first raised is marked
	Level       Level
	OnDelayS    float64  // the condition must last that long before it counts
	OffDelayS   float64  // and be gone that long before it is gone
	DeadBand    float64  // how far the value must come back, in Unit
	Unit        string   // of the value compared, SI; empty: no value
	Latching    bool     // stays until accepted and gone
	HiddenBy    []string // alarms that tell the same story louder
	Cause       string   // what is the case; Set may say it with numbers
	Consequence string   // what happens if nothing is done
	Do          string   // one short imperative sentence
	Was         string   // what was the case, told once it is over; never an order
	RespondS    float64  // time to respond
}

// definitions is the alarm table. Aborts are raised without delay; the other
// delays are our own choice, far under the usual starting values of
// ISA-18.2's annex (15 s, 60 s), since a fill lasts minutes.
var definitions = [...]Definition{
	{Name: WallAbort, Group: "wall", Level: LevelAbort, OffDelayS: 2, Latching: true,
		Cause:       "going on for the reaction time brings the wall to onset",
		Consequence: "the resin softens under pressure", Do: "Shut the supply now.", RespondS: 5,
		Was: "Going on could have brought the wall to onset."},
	{Name: WallOver, Group: "wall", Level: LevelAbort, OffDelayS: 2, DeadBand: 0.5, Unit: "K", Latching: true,
		Cause:       "no margin is left between wall and onset",
		Consequence: "the resin softens under pressure", Do: "Shut the supply and vent from a distance.", RespondS: 5,
		Was: "No margin was left between wall and onset."},
	{Name: VentAdvised, Group: "wall", Level: LevelAbort, OffDelayS: 2, Latching: true,
		Cause:       "the wall reaches onset even with the supply shut",
		Consequence: "shutting the supply alone does not keep the resin stiff", Do: "Vent from a distance.", RespondS: 10,
		Was: "The wall could have reached onset, supply shut or not."},
	{Name: PressureOver, Group: "pressure", Level: LevelAbort, OffDelayS: 2, DeadBand: 50e3, Unit: "Pa", Latching: true,
		Cause:       "pressure is above the vessel's limit",
		Consequence: "the vessel is loaded beyond what it was made for", Do: "Shut the supply and vent from a distance.", RespondS: 5,
		Was: "The pressure was above the vessel's limit."},
	// The three seconds of blind are counted by who sets it, since they run
	// from the last trustworthy reading, not from when its loss was noticed.
	{Name: Blind, Group: "data", Level: LevelAbort, OffDelayS: 2, Latching: true,
		Cause:       "filling for 3 s without a trustworthy pressure or gas temperature",
		Consequence: "nothing warns of a hot wall or of too much pressure", Do: "Shut the supply now and keep away.", RespondS: 5,
		Was: "It was filled without a trustworthy pressure or gas temperature."},

	{Name: WallMargin, Group: "wall", Level: LevelCaution, OnDelayS: 1, OffDelayS: 3, DeadBand: 1, Unit: "K",
		HiddenBy: []string{WallAbort, WallOver, VentAdvised},
		Cause:    "little margin is left between wall and onset", Consequence: "an abort follows",
		Do: "Ease off or keep it shut, as advised.", RespondS: 30,
		Was: "Little margin was left between wall and onset."},
	{Name: SideSoft, Group: "wall", Level: LevelCaution, OnDelayS: 1, OffDelayS: 3, DeadBand: 0.02, Unit: "of the cool side",
		HiddenBy: []string{WallAbort, WallOver, VentAdvised},
		Cause:    "the warm side has lost stiffness against the cool side", Consequence: "the vessel bows, and resists bending and handling less",
		Do: "Ease off or keep it shut, and shade the warm side from a distance.", RespondS: 30,
		Was: "The warm side had lost stiffness against the cool side."},
	{Name: HoldLimit, Group: "wall", Level: LevelCaution, OnDelayS: 1, OffDelayS: 5, DeadBand: 30, Unit: "s",
		HiddenBy: []string{WallAbort, WallOver, VentAdvised},
		Cause:    "the time it may stand is nearly over", Consequence: "sun and ambient bring the wall to onset",
		Do: "Shade it from a distance, use it or vent it.", RespondS: 60,
		Was: "The time that it may stand was nearly over."},
	{Name: PressureNear, Group: "pressure", Level: LevelCaution, OnDelayS: 0.5, OffDelayS: 3, DeadBand: 100e3, Unit: "Pa",
		HiddenBy: []string{PressureOver},
		Cause:    "pressure is close to the vessel's limit", Consequence: "an abort follows",
		Do: "Shut the supply and keep it shut.", RespondS: 15,
		Was: "The pressure was close to the vessel's limit."},
	{Name: RampHigh, Group: "ramp", Level: LevelCaution, OnDelayS: 2, OffDelayS: 2, DeadBand: 0.1, Unit: "of the ramp",
		HiddenBy: []string{WallAbort, WallOver, VentAdvised, PressureOver},
		Cause:    "the ramp is far above the advised or the greatest ramp", Consequence: "gas and wall get hotter than forecast",
		Do: "Ease off or shut, as advised.", RespondS: 15,
		Was: "It was filled faster than advised."},
	{Name: LoggerIll, Group: "data", Level: LevelCaution, OnDelayS: 0.5, OffDelayS: 2,
		Cause:       "the logger's clock can't be followed",
		Consequence: "nobody knows how old the readings are, and filling goes blind", Do: "Shut the supply. Restart the logger, or use another.", RespondS: 10,
		Was: "The logger's clock could not be followed."},
	{Name: LoggerChanged, Group: "data", Level: LevelCaution, OffDelayS: 2,
		Cause:       "the logger's channels are not those from before",
		Consequence: "the pressure may be another than it reads, and filling goes blind", Do: "Shut the supply. Compare with a second gauge, then accept.", RespondS: 10,
		Was: "The logger's channels had changed."},
	{Name: DataStale, Group: "data", Level: LevelCaution, OffDelayS: 1,
		Cause:       "no data from the logger for a second",
		Consequence: "what is shown is old, and filling goes blind", Do: "Supply shut until there are data.", RespondS: 10,
		Was: "No data came from the logger."},
	{Name: SensorIll, Group: "data", Level: LevelCaution, OnDelayS: 1.5, OffDelayS: 2,
		HiddenBy: []string{DataStale},
		Cause:    "a sensor can't be trusted", Consequence: "wider band, or blind",
		Do: "Under pressure stay away. Check its plug once vented.", RespondS: 30,
		Was: "A sensor could not be trusted."},
	{Name: LogLost, Group: "record", Level: LevelCaution, OffDelayS: 1,
		Cause:       "the run log can't be written",
		Consequence: "this fill is not recorded and can't be learned from", Do: "Free the disk, or keep the supply shut.", RespondS: 60,
		Was: "The run log could not be written."},
	{Name: Unsettled, Group: "wall", Level: LevelCaution, OffDelayS: 0.5,
		Cause:       "a hand-held reading and the estimate disagree",
		Consequence: "the wall may be hotter than one of them says", Do: "Read that place again. Under pressure stay away.", RespondS: 60,
		Was: "A hand-held reading and the estimate were apart."},
	{Name: GasCold, Group: "vent", Level: LevelCaution, OnDelayS: 1, OffDelayS: 3, DeadBand: 2, Unit: "K",
		Cause:       "the gas is colder than the vessel's limit while venting",
		Consequence: "resin and seals get brittle", Do: "Vent more slowly.", RespondS: 15,
		Was: "The gas was colder than the vessel's limit."},
	{Name: Leak, Group: "leak", Level: LevelCaution, OnDelayS: 2, OffDelayS: 10,
		Cause:       "gas is leaving, and it is more than cooling explains",
		Consequence: "pressure falls, and a leak can grow", Do: "Keep away and vent from a distance.", RespondS: 60,
		Was: "A leak was called."},
	{Name: GasLoss, Group: "leak", Level: LevelCaution, OnDelayS: 2, OffDelayS: 3,
		Cause:       "gas is leaving fast, and nobody said that the vessel is being vented",
		Consequence: "what lets it out can tear open", Do: "Keep away and vent from a distance.", RespondS: 10,
		Was: "Gas left fast, and nobody had said that the vessel was being vented."},

	{Name: TargetReached, Group: "target", Level: LevelAdvisory, OnDelayS: 1, OffDelayS: 5, DeadBand: 50e3, Unit: "Pa",
		Cause: "the target pressure is reached", Consequence: "filling on wastes gas and margin",
		Do: "Shut the supply.", RespondS: 15,
		Was: "The target pressure was reached."},
	{Name: LoggerRestart, Group: "data", Level: LevelAdvisory, OffDelayS: 5,
		Cause: "the logger started again", Consequence: "some seconds are missing from the record",
		Do: "Check its supply and the cable.", RespondS: 120,
		Was: "The logger had started again."},
	{Name: OutsideModel, Group: "model", Level: LevelAdvisory, OnDelayS: 2, OffDelayS: 10,
		HiddenBy: []string{WallAbort, WallOver, VentAdvised, PressureOver, Blind},
		Cause:    "conditions are outside what the wall model has seen", Consequence: "the band is wider and the advice slower",
		Do: "Fill no faster than advised.", RespondS: 120,
		Was: "Conditions were outside what the wall model has seen."},
	{Name: Reminder, Group: "reminder", Level: LevelAdvisory, OffDelayS: 0.5,
		Cause: "a reminder that the operator set is due", Consequence: "what it was set for is not done",
		Do: "Do it, then accept it.", RespondS: 60},
}

// Definitions returns a copy of the alarm table, worst level first.
func Definitions() []Definition {
	out := definitions
	for i := range out {
		out[i].HiddenBy = append([]string(nil), out[i].HiddenBy...)
	}
	return out[:]
}
