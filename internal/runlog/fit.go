package runlog

import (
	"errors"
	"fmt"
	"strings"

	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wrongfile"
)

// ProfileFor gives the profile to read this recording with: p, when its channel
// table fits the logger that was recorded; p with the recording's own channels
// when those fit better, which is so for a CSV file, for a log imported from
// one and after a change of the wiring; the recording's own profile when p is
// nil. It is an error when the pressure can't be read with any of them; other
// channels that don't fit are left unread and told where they are read.
func (r *Reader) ProfileFor(p *vessel.Profile) (*vessel.Profile, error) {
	if r.csv != nil {
		return withChannels(p, r.csv.Channels(), r.name)
	}
	own, err := r.recordedProfile()
	if p == nil {
		if own == nil && err == nil {
			err = errNoProfile(r.name)
		}
		return own, err
	}
	if len(p.Channels) == 0 { // a profile for tables, which bring their own
		if own == nil {
			return nil, &wrongfile.Error{File: r.name, What: "holds raw readings, and the vessel profile has no [[channel]] that says what they are",
				Do: "add the channels of its logger to the profile; to see how they look: fillwright profile new"}
		}
		return withChannels(p, own.Channels, r.name)
	}
	problems := r.misfit(p)
	if len(problems) == 0 {
		return p, nil
	}
	if own != nil && len(r.misfit(own)) < len(problems) {
		return withChannels(p, own.Channels, r.name)
	}
	for _, problem := range problems {
		var bind *probe.BindError
		if errors.As(problem, &bind) && bind.Role == vessel.RolePressure {
			return nil, &wrongfile.Error{File: r.name, What: "the vessel profile does not fit the logger that was recorded", Err: bind,
				Do: "or give the profile that belongs to this recording with --vessel"}
		}
	}
	return p, nil
}

// recordedProfile is the profile that the recording holds, nil if it holds none.
func (r *Reader) recordedProfile() (*vessel.Profile, error) {
	text := r.parts[0].Profile
	if text == "" {
		return nil, nil
	}
	return vessel.Parse(r.name+" (recorded profile)", []byte(text))
}

// misfit says why a profile's channels don't fit the recorded logger.
func (r *Reader) misfit(p *vessel.Profile) []error {
	if r.hello.N == 0 {
		return nil
	}
	return probe.NewBank(p, nil).Hello(&r.hello)
}

func errNoProfile(file string) error {
	return &wrongfile.Error{File: file, What: "does not hold the vessel's profile", Do: "give it: --vessel profile.toml"}
}

// withChannels is a copy of p with other channels.
func withChannels(p *vessel.Profile, channels []vessel.Channel, file string) (*vessel.Profile, error) {
	if p == nil {
		return nil, errNoProfile(file)
	}
	var missing []string
	for _, ch := range channels {
		if ch.Station != "" && p.StationIndex(ch.Station) < 0 {
			missing = append(missing, ch.Station)
		}
	}
	if len(missing) > 0 {
		return nil, &wrongfile.Error{File: file, What: fmt.Sprintf("has wall sensors at %s, which the vessel profile does not know", strings.Join(missing, ", ")),
			Do: "add to the profile: [[station]] name = \"" + missing[0] + "\""}
	}
	c := *p
	c.Channels = channels
	return &c, nil
}

// good is a reading's value, NaN when it is not known to be good.
func good(r *probe.Reading) float64 {
	if r.Health != probe.HealthGood {
		return nan
	}
	return r.Value
}
