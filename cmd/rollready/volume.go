package main

import (
	"fmt"
	"io"
	"time"

	"rollready/capture/mixer"
)

// volumeTeller says what the sound system does to an output that sounds, at
// first and whenever it changes.
type volumeTeller struct {
	to    io.Writer
	name  string
	begun time.Time
	told  string
}

// tellPatience is how long an output's volume may take to be known.
const tellPatience = 2 * time.Second

func (v *volumeTeller) tell(s mixer.Setting) {
	text := s.Words(v.name)
	if text != v.told && (s.Told || time.Since(v.begun) > tellPatience) {
		v.told = text
		fmt.Fprintln(v.to, text)
	}
}
