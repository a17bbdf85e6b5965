// Package track tells what the tracks of a recording are for.
package track

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"rollready/dsp/verdict"
)

// Track is one channel of a recording.
type Track struct {
	Name string       `json:"name"` // "" if it has none
	Role verdict.Role `json:"role"` // "" where nobody said
}

// Named gives the tracks of a recording of so many channels. Their names tell
// what they are for: this program names them "processed 1", "input 1" and
// "safety -10 dB 1".
func Named(names []string, channels int) []Track {
	tracks := make([]Track, channels)
	for i, name := range names[:min(len(names), channels)] {
		tracks[i] = Track{name, role(name)}
	}
	return tracks
}

func role(name string) verdict.Role {
	word, _, _ := strings.Cut(name, " ")
	if r := verdict.Role(word); slices.Contains(roles, r) {
		return r
	}
	return ""
}

var roles = []verdict.Role{verdict.Processed, verdict.Raw, verdict.Safety}

// ParseRoles reads roles by commas, or all: none.
func ParseRoles(text string) (chosen []verdict.Role, err error) {
	if text == "all" {
		return nil, nil
	}
	for _, word := range strings.Split(text, ",") {
		r := verdict.Role(strings.TrimSpace(word))
		if !slices.Contains(roles, r) {
			return nil, fmt.Errorf("%q: choose processed, input, safety, several with commas, or all", text)
		}
		chosen = append(chosen, r)
	}
	return chosen, nil
}

// Who gives who is heard on a track: what follows our own name and number of
// it, or the name that another program gave it. "" if nobody said.
func (t Track) Who() string {
	if t.Role == "" {
		return t.Name
	}
	words := strings.Fields(strings.TrimPrefix(strings.TrimPrefix(t.Name, string(t.Role)), " -10 dB"))
	return strings.Join(words[min(len(words), 1):], " ") // without its number
}

// Beside gives the tracks that the sheet beside a take of ours names, for a
// file that lost its own names; without one no track has a name.
func Beside(path string, channels int) []Track {
	var sheet struct {
		Tracks []string `toml:"tracks"`
	}
	raw, err := os.ReadFile(strings.TrimSuffix(path, filepath.Ext(path)) + ".toml")
	if err != nil || toml.Unmarshal(raw, &sheet) != nil || len(sheet.Tracks) != channels {
		return Named(nil, channels)
	}
	return Named(sheet.Tracks, channels)
}

// Group is the tracks of one role, which are measured together.
type Group struct {
	Role     verdict.Role
	Channels []int // of the recording, from 0
}

// Groups puts tracks together by role: the processed first, then those without
// one, the raw and the safety ones.
func Groups(tracks []Track) (groups []Group) {
	for _, r := range []verdict.Role{verdict.Processed, "", verdict.Raw, verdict.Safety} {
		g := Group{Role: r}
		for c, t := range tracks {
			if t.Role == r {
				g.Channels = append(g.Channels, c)
			}
		}
		if g.Channels != nil {
			groups = append(groups, g)
		}
	}
	return groups
}
