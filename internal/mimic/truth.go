package mimic

import (
	"math"

	"fillwright/internal/gas"
	"fillwright/internal/vessel"
)

// Truth is the pretended vessel with its pad, supply and sensors, as they
// really are: what the estimator has to find out. SI units.
type Truth struct {
	Gas            gas.Species
	InnerDiameterM float64
	LengthM        float64
	VolumeM3       float64 // inside, water included
	WaterM3        float64
	Upright        bool // stands upright instead of lying
	AmbientPa      float64

	ThicknessM       float64
	DensityKgM3      float64
	SpecificHeatJKgK float64
	ConductivityWMK  float64 // through the thickness
	AroundWMK        float64 // conductivity around the circumference

	InletDiameterM float64
	JetShare       float64 // part of the inlet jet's convection that the wall gets
	Stratification float64 // top-to-middle difference as a part of gas minus wall, at rest

	Rough Rough // what real vessels do beside; the zero value does none of it

	Absorptance float64 // of the paint, for sunlight
	Emittance   float64 // long-wave
	WrapKgM2    float64 // water in a wet wrap when the run begins; 0: no wrap

	Weather Weather
	Supply  SupplyTruth
	Sensors SensorTruth

	ValveAreaM2  float64 // effective area of the fill valve fully open
	VentAreaM2   float64 // effective area of the vent fully open
	LeakAreaM2   float64 // effective area of a leak
	LeakOpensPa  float64 // gauge pressure at which the leak opens, for good
	RampUnsteady float64 // relative swing of a ramp set by hand
}

// SupplyTruth is the supply cylinder and the hose from it.
type SupplyTruth struct {
	VolumeM3      float64
	GaugePa       float64 // at the start
	TempK         float64 // at the start; 0: ambient
	WallJK        float64 // heat capacity of the cylinder
	WallWK        float64 // gas to cylinder
	HoseJK        float64
	HoseWK        float64 // gas to hose
	HoseAmbientWK float64
	HoseWarmerK   float64 // hose above ambient at the start (lies in the sun)
}

// SensorTruth is how the sensors really behave.
type SensorTruth struct {
	BeadM            float64 // diameter of the gas probe's bead or sheath
	BeadEmittance    float64
	BeadStem         float64 // part of the difference to the wall that the stem conducts in
	BeadHeight       float64 // −1 bottom … 1 top
	SkinLagS         float64 // contact lag of an attached sensor
	SkinStem         float64 // part of the difference to ambient that the lead takes off
	OffsetK          [vessel.ChannelsMost]float64
	ThermocoupleNV   float64 // noise, one sigma
	StepNV           float64 // converter's step
	CelsiusStepK     float64 // step of channels that already speak °C
	CelsiusNoiseK    float64
	ColdErrorK       float64 // cold-junction sensor minus terminal block
	PressureZeroPa   float64
	PressureSpan     float64 // relative error of the span
	PressureNoiseLSB float64 // noise of the converter, one sigma, in counts
}

// NewTruth is the vessel exactly as its profile describes it, on a mild day.
func NewTruth(p *vessel.Profile) Truth {
	t := Truth{
		Gas:              p.Gas,
		InnerDiameterM:   float64(p.InnerDiameter),
		LengthM:          float64(p.Length),
		VolumeM3:         float64(p.Volume),
		WaterM3:          float64(p.Water),
		AmbientPa:        float64(p.AmbientPressure),
		ThicknessM:       float64(p.Wall.Thickness),
		DensityKgM3:      p.Wall.DensityKgM3,
		SpecificHeatJKgK: p.Wall.SpecificHeatJKgK,
		ConductivityWMK:  p.Wall.ConductivityWMK,
		AroundWMK:        4, // along and across wound fibres, handbook range 1 to 8
		InletDiameterM:   0.004,
		JetShare:         0.025,
		Stratification:   0.10,
		Absorptance:      0.50,
		Emittance:        0.90,
		Weather:          mildDay(),
		Sensors:          ordinarySensors(),
		ValveAreaM2:      2.2e-6,
		VentAreaM2:       6e-6,
		LeakOpensPa:      math.Inf(1),
		RampUnsteady:     0.03,
	}
	for _, s := range p.Stations {
		if s.Absorptance > 0 {
			t.Absorptance = s.Absorptance // one paint all around; the last given counts
		}
	}
	if t.AmbientPa <= 0 {
		t.AmbientPa = 101325
	}
	if t.VolumeM3 <= 0 {
		t.VolumeM3 = math.Pi / 4 * t.InnerDiameterM * t.InnerDiameterM * t.LengthM
	}
	t.Supply = SupplyTruth{
		VolumeM3: 0.050, GaugePa: 160e5, WallJK: 25e3, WallWK: 25,
		HoseJK: 1500, HoseWK: 22, HoseAmbientWK: 4, HoseWarmerK: 3,
	}
	return t
}

func ordinarySensors() SensorTruth {
	return SensorTruth{
		BeadM: 1.5e-3, BeadEmittance: 0.6, BeadStem: 0.015, BeadHeight: 0.1,
		SkinLagS: 2.5, SkinStem: 0.03,
		ThermocoupleNV: 900, StepNV: 15.6, CelsiusStepK: 0.0625, CelsiusNoiseK: 0.02,
		ColdErrorK: 0.15, PressureNoiseLSB: 0.45,
	}
}

// wallAreaM2 is the inner surface: the barrel and two flat ends.
func (t *Truth) wallAreaM2() float64 {
	d := t.InnerDiameterM
	return math.Pi*d*t.LengthM + math.Pi/2*d*d
}

// gasVolumeM3 is the room left to the gas.
func (t *Truth) gasVolumeM3() float64 { return t.VolumeM3 - t.WaterM3 }
