package offline

import (
	"fmt"
	"slices"
	"strings"

	"rollready/capture"
	"rollready/capture/recording"
	"rollready/capture/track"
	"rollready/dsp/verdict"
)

// All chooses every channel of a recording, and of a take every track.
const All = "all"

// Choice is what of a recording goes through the chain, and how.
type Choice struct {
	Picks []capture.Pick // each through a chain of its own
	Words string         // "raw tracks 3+4", "2 channels"
}

// Choose reads the name of channels as capture.ParsePick does, or All. Without
// one it is, of a take of ours, the raw tracks, for the processed ones have
// been through a chain; of any other recording all channels. Where more than
// two are chosen each goes by itself, but the tracks of a take by their roles.
func Choose(r recording.Reader, channels string) (Choice, error) {
	groups := track.Groups(r.Tracks())
	n := r.Format().Channels
	if channels != "" && channels != All {
		pick, err := capture.ParsePick(channels)
		if err != nil {
			return Choice{}, fmt.Errorf("%w; all for every one", err)
		}
		if pick == capture.Mix {
			return Choice{[]capture.Pick{pick}, fmt.Sprintf("the mean of %d channels", n)}, nil
		}
		return Choice{[]capture.Pick{pick}, named("channel", pick)}, nil
	}
	at := func(role verdict.Role) int {
		return slices.IndexFunc(groups, func(g track.Group) bool { return g.Role == role })
	}
	raw, processed := at(verdict.Raw), at(verdict.Processed)
	switch {
	case channels == All && processed >= 0:
		return Choice{picks(groups...), fmt.Sprintf("all %d tracks of the take", n)}, nil
	case channels == All || processed < 0 && raw < 0:
		return every(n), nil
	case raw >= 0:
		p := picks(groups[raw])
		return Choice{p, "the take's raw " + named("track", p...)}, nil
	}
	p := picks(groups[processed])
	return Choice{p, named("track", p...) + " that a chain made already, for want of raw ones"}, nil
}

func every(n int) Choice {
	if n <= 2 {
		return Choice{[]capture.Pick{capture.Auto}, []string{"", "1 channel", "2 channels"}[n]}
	}
	c := Choice{Words: fmt.Sprintf("%d channels, each by itself", n)}
	for i := range n {
		c.Picks = append(c.Picks, capture.Pick(fmt.Sprint(i+1)))
	}
	return c
}

// picks gives one for each group, or for each channel of one that has more
// than two.
func picks(groups ...track.Group) (p []capture.Pick) {
	for _, g := range groups {
		if len(g.Channels) == 2 {
			p = append(p, capture.Pick(fmt.Sprintf("%d+%d", g.Channels[0]+1, g.Channels[1]+1)))
			continue
		}
		for _, c := range g.Channels {
			p = append(p, capture.Pick(fmt.Sprint(c+1)))
		}
	}
	return p
}

// named is "track 2" or "tracks 3+4".
func named(what string, picks ...capture.Pick) string {
	text := ""
	for _, p := range picks {
		text += "+" + string(p)
	}
	if text = text[1:]; strings.Contains(text, "+") {
		what += "s"
	}
	return what + " " + text
}

// Names are those of the result's tracks; nil where they are the file's. What
// was raw and goes through a chain is processed.
func (p *Process) Names() []string {
	if p.names != nil {
		return p.names
	}
	tracks, from := p.reader.Tracks(), p.Sources()
	if !slices.ContainsFunc(tracks, func(t track.Track) bool { return t.Name != "" }) {
		return nil
	}
	if from == nil {
		return []string{"mix"}
	}
	names, same := []string{}, len(from) == len(tracks)
	for i, c := range from {
		name := tracks[c].Name
		if tracks[c].Role == verdict.Raw && !p.exact {
			name = fmt.Sprintf("%s %d", verdict.Processed, i+1)
		}
		same = same && name == tracks[i].Name
		names = append(names, name)
	}
	if same {
		return nil
	}
	return names
}
