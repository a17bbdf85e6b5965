package presets

import (
	"errors"
	"fmt"

	"rollready/dsp/strips"
)

// stripsForm is strips.Settings on disk, but for the chain of linked strips,
// which stands where it always did, and for what must not come back by itself:
// solo.
type stripsForm struct {
	Route  string      `toml:"route,omitempty"`
	Ears   string      `toml:"headphones_route,omitempty"`
	Strips []stripForm `toml:"strip,omitempty"`
}

// stripForm is a strip on disk.
type stripForm struct {
	Name     string  `toml:"name"`
	GainDB   float64 `toml:"gain_db"`
	HighPass string  `toml:"high_pass"`
	LowPass  string  `toml:"low_pass"`
	Inverted bool    `toml:"inverted"`
	Muted    bool    `toml:"muted"`
	Linked   bool    `toml:"linked,omitempty"` // set like the chain
}

func formOfStrips(s strips.Settings) stripsForm {
	f := stripsForm{Route: string(s.Route), Ears: string(s.Ears)}
	plain := s
	plain.Route, plain.Ears, plain.Solo = "", "", 0
	if plain == strips.Of(s.Chain(0)) {
		return f
	}
	for _, strip := range s.Strips {
		c := formOfChain(strip.Chain)
		f.Strips = append(f.Strips, stripForm{strip.Name, c.GainDB, c.HighPass, c.LowPass, strip.Inverted, strip.Muted, !s.Unlinked})
	}
	return f
}

// strips reads them; c is the chain of linked strips, and the limiter of all.
func (f stripsForm) strips(c chainForm) (strips.Settings, error) {
	linked, err := c.chain()
	s := strips.Of(linked)
	s.Route, s.Ears = strips.Layout(f.Route), strips.Layout(f.Ears)
	if len(f.Strips) > strips.Max {
		return s, fmt.Errorf("%d strips: there are %d at most", len(f.Strips), strips.Max)
	}
	for i, form := range f.Strips {
		s.Unlinked = s.Unlinked || !form.Linked
		own, wrong := chainForm{GainDB: form.GainDB, HighPass: form.HighPass, LowPass: form.LowPass}.chain()
		s.Strips[i] = strips.Strip{Name: form.Name, Chain: own, Inverted: form.Inverted, Muted: form.Muted}
		err = errors.Join(err, wrong, strips.CheckName(form.Name))
	}
	if !s.Unlinked {
		s.Set(0, linked)
	}
	return s, errors.Join(err, s.Check())
}
