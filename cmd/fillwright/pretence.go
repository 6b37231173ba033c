package main

import (
	"time"

	"github.com/spf13/cobra"

	"fillwright/internal/mimic"
	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
)

// pretence is what the pretended day, vessel and cable are like.
type pretence struct {
	scene, ramp, ambient string
	sunWM2               float64
	scatter              uint64
	lost                 float64
	restartAt            []time.Duration
	forTime              time.Duration
}

func (p *pretence) flags(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&p.scene, "scene", "calm", "which invented fill")
	f.StringVar(&p.ramp, "ramp", "", "ramp of the scene's fill, such as \"12 bar/min\"")
	f.StringVar(&p.ambient, "ambient", "", "air temperature of the scene's day, such as \"18 °C\"")
	numberVar(f, &p.sunWM2, "sun", -1, "sun of the scene's day in W/m²")
	f.Uint64Var(&p.scatter, "scatter", 0, "the pretended vessel differs from its profile, by this `number`; 0: it does not")
	lapseVar(f, &p.forTime, "for", 0, "how long --offline records; nothing: the whole scene")
	numberVar(f, &p.lost, "lost", 0, "chance of a frame to vanish on the cable, 0 to 1")
	f.DurationSliceVar(&p.restartAt, "restart-at", nil, "times at which the logger restarts, such as 60s,90s")
}

// options is the scene and the mimic's options for a vessel.
func (p *pretence) options(v *vessel.Profile) (mimic.Scene, mimic.Options, error) {
	var opt mimic.Options
	scene, err := mimic.FindScene(p.scene)
	if err != nil {
		return scene, opt, usage("%s", err)
	}
	if p.ramp != "" {
		ramp, err := quantity.ParseRamp(p.ramp)
		if err != nil {
			return scene, opt, usage("--ramp: %s", err)
		}
		for i := range scene.Plan {
			if scene.Plan[i].Do == mimic.Fill {
				scene.Plan[i].RampPaS = float64(ramp)
			}
		}
	}
	if err := p.day(&scene); err != nil {
		return scene, opt, err
	}
	opt.ForS = p.forTime.Seconds()
	opt.Cable = mimic.Cable{Lost: p.lost}
	for _, at := range p.restartAt {
		opt.Cable.RestartsS = append(opt.Cable.RestartsS, at.Seconds())
	}
	if p.scatter != 0 {
		truth := mimic.Scatter(v, p.scatter)
		opt.Truth = &truth
	}
	return scene, opt, nil
}

// day changes the scene's weather.
func (p *pretence) day(scene *mimic.Scene) error {
	ambient := quantity.Temperature(0)
	if p.ambient != "" {
		var err error
		if ambient, err = quantity.ParseTemperature(p.ambient); err != nil {
			return usage("--ambient: %s", err)
		}
	}
	before := scene.Set
	scene.Set = func(t *mimic.Truth) {
		if before != nil {
			before(t)
		}
		if p.ambient != "" {
			t.Weather.AmbientK = float64(ambient)
		}
		if p.sunWM2 >= 0 {
			t.Weather.SunWM2 = p.sunWM2
		}
	}
	return nil
}
