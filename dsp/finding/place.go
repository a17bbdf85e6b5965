package finding

import "strings"

// Place says where a finding's action is done.
type Place string

// The places: by a setting of this program, at the audio interface, or on
// anything before it: microphone, cable, room.
const (
	Here      Place = "here"
	Interface Place = "interface"
	OnSet     Place = "on set"
)

// Place tells where the action is done, by its own words.
func (f Finding) Place() Place {
	for _, start := range []string{"Set the output gain", "Set the high-pass", "Switch the high-pass on"} {
		if strings.HasPrefix(f.Action, start) {
			return Here
		}
	}
	if strings.Contains(f.Action, "at the interface") {
		return Interface
	}
	return OnSet
}
